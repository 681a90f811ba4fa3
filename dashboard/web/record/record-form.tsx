import { writeBags } from '../../../shared/batches/bag-list.ts';
import type { LiveState } from '../../../shared/live.ts';
import { signedName } from '../doors/entry.ts';
import { Container, ContainerClips } from '../drawing/container.tsx';
import { glyphBox } from '../drawing/container-shapes.ts';
import { withUnit } from '../format/value.ts';
import { namesOf } from '../parts/names.ts';
import { common } from '../text/common.ts';
import { record } from '../text/record.ts';
import { type Draft, type DraftProblems, nextBatchName } from './draft.ts';
import { type Choice, Field, SelectField, TextField } from './fields.tsx';
import { changeDraft } from './open.ts';

interface Props {
  state: LiveState;
  draft: Draft;
  problems: DraftProblems;
}

/** The fields that the chosen kind needs, and no others. */
export function RecordFields({ state, draft, problems }: Props) {
  const shared = { draft, problems };
  return (
    <>
      {draft.kind === 'made' ? (
        <Making state={state} {...shared} />
      ) : (
        <>
          <WhichBags state={state} {...shared} />
          <Particulars state={state} {...shared} />
        </>
      )}
      {draft.kind === 'made' || draft.kind === 'discarded' ? (
        <p class="caution">{record.caution[draft.kind]}</p>
      ) : null}
      <div class="field-pair">
        {signedName.value === null ? <TextField name="who" label={record.who} {...shared} /> : null}
        <TextField name="when" label={record.when} type="datetime-local" {...shared} />
      </div>
    </>
  );
}

const shelfChoices = (state: LiveState) =>
  state.farm.rooms.map((room) => ({
    group: room.name,
    choices: room.racks.flatMap(({ shelves }) => shelves.map(({ id }): Choice => ({ value: id, text: id }))),
  }));

function WhichBags({ state, draft, problems }: Props) {
  const names = namesOf(state.farm);
  const standing = state.batches.filter(({ cohorts }) => cohorts.length > 0);
  const bags = standing.find(({ id }) => id === draft.batch)?.cohorts.flatMap((cohort) => cohort.bags) ?? [];
  return (
    <>
      <SelectField
        name="batch"
        label={record.batch}
        empty={record.chooseBatch}
        draft={draft}
        problems={problems}
        choices={standing.map(({ id, strain, cohorts }) => {
          const shelves = cohorts.map(({ shelf }) => shelf ?? common.notPlaced).join(', ');
          return { value: id, text: `${id} · ${names.strain(strain)} · ${shelves}` };
        })}
      />
      <TextField
        name="bags"
        label={record.bags}
        draft={draft}
        problems={problems}
        inputMode="text"
        {...(bags.length === 0 ? {} : { hint: record.bagsHint(writeBags(bags)) })}
      />
    </>
  );
}

function Particulars({ state, draft, problems }: Props) {
  const shared = { draft, problems };
  switch (draft.kind) {
    case 'placed':
    case 'moved':
      return (
        <SelectField
          name="shelf"
          label={record.shelf}
          empty={record.chooseShelf}
          choices={shelfChoices(state)}
          {...shared}
        />
      );
    case 'checked':
      return <ShareField state={state} {...shared} />;
    case 'used':
      return <TextField name="purpose" label={record.purpose} {...shared} />;
    case 'discarded':
      return <TextField name="reason" label={record.reason} list={record.reasons} {...shared} />;
    case 'noted':
      return <TextField name="text" label={record.text} {...shared} />;
    default:
      return null;
  }
}

/** The bag drawn as it is said to look, so that the eye can compare. */
function ShareField({ state, draft, problems }: Props) {
  const container = state.batches.find(({ id }) => id === draft.batch)?.container;
  const kind = state.farm.containers.find(({ id }) => id === container)?.kind ?? 'bag';
  const percent = draft.share === '' ? null : Number(draft.share);
  return (
    <Field name="share" label={record.share} problems={problems}>
      <div class="share-field">
        <svg viewBox={`0 0 ${glyphBox.width} ${glyphBox.height}`} aria-hidden="true">
          <ContainerClips clips="share" />
          <Container kind={kind} share={(percent ?? 0) / 100} seed={1} mark={null} clips="share" detailed />
        </svg>
        <input
          id="record-share"
          type="range"
          min="0"
          max="100"
          step="1"
          value={draft.share === '' ? '0' : draft.share}
          aria-invalid={problems.share !== undefined}
          aria-valuetext={percent === null ? record.shareUnsaid : `${percent} %`}
          onInput={(event) => changeDraft({ share: event.currentTarget.value })}
        />
        <output class="share-said">{percent === null ? '–' : withUnit(String(percent), '%')}</output>
      </div>
    </Field>
  );
}

function Making({ state, draft, problems }: Props) {
  const shared = { draft, problems };
  const names = namesOf(state.farm);
  return (
    <>
      <div class="field-pair">
        <TextField
          name="newBatch"
          label={record.newBatch}
          hint={record.nameHint(nextBatchName(state.batches))}
          {...shared}
        />
        <TextField name="count" label={record.count} inputMode="numeric" {...shared} />
      </div>
      <SelectField
        name="strain"
        label={record.strain}
        empty={record.choose}
        choices={state.farm.strains.map(({ id }) => ({ value: id, text: names.strain(id) }))}
        {...shared}
      />
      <div class="field-pair">
        <SelectField
          name="container"
          label={record.container}
          empty={record.choose}
          choices={state.farm.containers.map(({ id, name }) => ({ value: id, text: name }))}
          {...shared}
        />
        <SelectField
          name="generation"
          label={record.generation}
          choices={['G1', 'G2', 'G3', 'block'].map((value) => ({ value, text: value }))}
          {...shared}
        />
      </div>
      <div class="field-pair">
        <SelectField
          name="way"
          label={record.way}
          choices={Object.entries(record.ways).map(([value, text]) => ({ value, text }))}
          {...shared}
        />
        <TextField name="amount" label={record.amounts[draft.way]} inputMode="decimal" {...shared} />
      </div>
      <div class="field-pair">
        <TextField name="parent" label={record.parent} list={state.batches.map(({ id }) => id)} {...shared} />
        <TextField name="parentBag" label={record.parentBag} inputMode="numeric" {...shared} />
      </div>
      <SelectField
        name="shelf"
        label={record.shelf}
        empty={record.shelfLater}
        choices={shelfChoices(state)}
        {...shared}
      />
    </>
  );
}
