import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Species } from '../../shared/farm/schema.ts';
import type { FarmEdits } from '../../shared/ports.ts';
import type { LimitEdit } from '../../shared/tuning.ts';
import { problemsText } from './problems.ts';
import { editLimits, type WriteBack, writeLimits } from './write-back.ts';

interface EditNeeds {
  /** File name for messages. */
  name: string;
  builtInSpecies: readonly Species[];
  /** The text that the running farm was loaded from. */
  text: () => string;
  /** The file to write; null where the farm is not to be changed (a training run). */
  path: string | null;
  /** Takes the changed farm over. */
  apply: (farm: Farm, text: string) => void;
}

/** Limits of a farm changed from a screen: tried on its text, and written to its file. */
export function createFarmEdits({ name, builtInSpecies, text, path, apply }: EditNeeds): FarmEdits {
  const editOf = ({ at, measure, set }: LimitEdit) => ({ at, quantity: measure, set });
  const sound = (result: WriteBack) => {
    if (result.ok) return result;
    throw new AppError('farm-file', `These limits cannot be: ${problemsText(result.problems)}`);
  };
  return {
    tried: (edit) => sound(editLimits(text(), name, editOf(edit), builtInSpecies)).farm,
    async save(edit) {
      if (path === null)
        throw new AppError(
          'refused',
          'A training run keeps its limits; try them here and save them on the farm.',
        );
      const result = sound(await writeLimits(path, text(), editOf(edit), builtInSpecies));
      apply(result.farm, result.text);
    },
  };
}

const unchangeable = () => new AppError('refused', 'The limits of this farm cannot be changed from here.');

/** For a site whose farm is nobody's to change, such as a past that is being made. */
export const noEdits: FarmEdits = {
  tried() {
    throw unchangeable();
  },
  async save() {
    throw unchangeable();
  },
};
