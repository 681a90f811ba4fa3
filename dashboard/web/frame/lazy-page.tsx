import { signal } from '@preact/signals';
import type { ComponentType } from 'preact';
import { messageOf } from '../../../shared/errors.ts';
import { common } from '../text/common.ts';

/** A page whose code is fetched when it is first wanted, so that the wall carries only its own. */
export function lazyPage<Props extends object>(fetchPage: () => Promise<ComponentType<Props>>) {
  const page = signal<ComponentType<Props> | null>(null);
  const failed = signal<string | null>(null);
  let asked = false;

  const askFor = () => {
    asked = true;
    failed.value = null;
    fetchPage().then(
      (fetched) => {
        page.value = fetched;
      },
      (error: unknown) => {
        asked = false;
        failed.value = messageOf(error);
      },
    );
  };

  return function LazyPage(props: Props) {
    const Page = page.value;
    if (Page !== null) return <Page {...props} />;
    if (failed.value !== null)
      return (
        <div class="page-note">
          <p>{common.failed(failed.value)}</p>
          <button type="button" class="button" onClick={askFor}>
            {common.tryAgain}
          </button>
        </div>
      );
    if (!asked) askFor();
    return <p class="page-note">{common.loading}</p>;
  };
}
