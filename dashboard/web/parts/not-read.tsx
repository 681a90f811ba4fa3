import { common } from '../text/common.ts';
import type { Asked } from './use-answer.ts';

/** That something could not be read, why, and a way to read it after all; nothing while it could. */
export const NotRead = ({ asked: { failed, again } }: { asked: Pick<Asked<unknown>, 'failed' | 'again'> }) =>
  failed === null ? null : (
    <p class="not-read" role="alert">
      {common.failed(failed)}{' '}
      <button type="button" class="button" onClick={again}>
        {common.tryAgain}
      </button>
    </p>
  );
