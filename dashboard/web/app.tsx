import type { ComponentChildren } from 'preact';
import { useEffect, useLayoutEffect } from 'preact/hooks';
import { shownAlarms } from './climate.ts';
import { shutOut } from './doors/entry.ts';
import { Frame } from './frame/frame.tsx';
import { lazyPage } from './frame/lazy-page.tsx';
import { Navigation } from './frame/navigation.tsx';
import { TrainingEdge } from './frame/training-strip.tsx';
import type { Page } from './routes.ts';
import { link, place, site } from './screen.ts';
import { common } from './text/common.ts';
import { wall } from './text/wall.ts';
import { Wall } from './wall/wall.tsx';

const AcknowledgePage = lazyPage(
  async () => (await import('./acknowledge/acknowledge-page.tsx')).AcknowledgePage,
);
const RoomsPage = lazyPage(async () => (await import('./rooms/rooms-page.tsx')).RoomsPage);
const RoomPage = lazyPage(async () => (await import('./room/room-page.tsx')).RoomPage);
const UnloadPage = lazyPage(async () => (await import('./unload/unload-page.tsx')).UnloadPage);
const OneUnloadPage = lazyPage(async () => (await import('./unload/one-page.tsx')).OneUnloadPage);
const BatchPage = lazyPage(async () => (await import('./batch/batch-page.tsx')).BatchPage);
const StrainPage = lazyPage(async () => (await import('./strain/strain-page.tsx')).StrainPage);
const ChartsPage = lazyPage(async () => (await import('./charts/charts-page.tsx')).ChartsPage);
const AlarmsPage = lazyPage(async () => (await import('./alarms/alarms-page.tsx')).AlarmsPage);
const AlarmPage = lazyPage(async () => (await import('./alarms/alarm-page.tsx')).AlarmPage);
const JournalPage = lazyPage(async () => (await import('./alarms/journal-page.tsx')).JournalPage);
const NuisancePage = lazyPage(async () => (await import('./alarms/nuisance-page.tsx')).NuisancePage);
const LimitsPage = lazyPage(async () => (await import('./alarms/limits-page.tsx')).LimitsPage);
const FarmPage = lazyPage(async () => (await import('./farm/farm-page.tsx')).FarmPage);
const DoorsPage = lazyPage(async () => (await import('./doors/doors-page.tsx')).DoorsPage);
const DoorJournalPage = lazyPage(async () => (await import('./doors/journal-page.tsx')).DoorJournalPage);
const DoorPage = lazyPage(async () => (await import('./doors/door-page.tsx')).DoorPage);
const JoinPage = lazyPage(async () => (await import('./doors/door-page.tsx')).JoinPage);
const PairPage = lazyPage(async () => (await import('./doors/pair-page.tsx')).PairPage);
const TrainPage = lazyPage(async () => (await import('./train/train-page.tsx')).TrainPage);

export function App() {
  const { page, site: name } = place.value;
  // Before it is painted: no frame of a training run in the farm's colours.
  useLayoutEffect(() => {
    document.documentElement.dataset.site = name;
  }, [name]);
  useTitle();
  // Whoever holds a link need not be signed in, so there may be nothing live to frame it with.
  if (page.name === 'acknowledge') return <AcknowledgePage token={page.token} />;
  if (page.name === 'join') return <JoinPage />;
  if (page.name === 'pair') return <PairPage />;
  if (shutOut.value) return <DoorPage />;
  if (page.name === 'wall')
    return (
      <>
        <Wall />
        <Navigation />
        {name === 'training' ? <TrainingEdge /> : null}
      </>
    );
  return (
    <>
      <Frame>{pageOf()}</Frame>
      {name === 'training' ? <TrainingEdge /> : null}
    </>
  );
}

function pageOf(): ComponentChildren {
  const { page } = place.value;
  switch (page.name) {
    case 'rooms':
      return <RoomsPage />;
    case 'room':
      return <RoomPage id={page.id} key={page.id} />;
    case 'unload':
      return <UnloadPage />;
    case 'one-unload':
      return <OneUnloadPage id={page.id} key={page.id} />;
    case 'alarms':
      return <AlarmsPage />;
    case 'alarm':
      return <AlarmPage id={page.id} key={page.id} />;
    case 'journal':
      return <JournalPage />;
    case 'nuisance':
      return <NuisancePage />;
    case 'limits':
      return <LimitsPage />;
    case 'farm':
      return <FarmPage />;
    case 'train':
      return <TrainPage />;
    case 'doors':
      return <DoorsPage />;
    case 'door-journal':
      return <DoorJournalPage />;
    case 'charts':
      return <ChartsPage />;
    case 'batch':
      return <BatchPage id={page.id} key={page.id} />;
    case 'strain':
      return <StrainPage id={page.id} key={page.id} />;
    default:
      return (
        <div class="page-note">
          <h1>{common.unknownPage}</h1>
          <a class="button" href={link({ name: 'wall' })}>
            {common.toTheWall}
          </a>
        </div>
      );
  }
}

/** What a page is called: by its thing where it is of one. */
function whereOf(page: Page, rooms: readonly { id: string; name: string }[]): string {
  switch (page.name) {
    case 'batch':
    case 'strain':
      return page.id;
    case 'room':
      return rooms.find(({ id }) => id === page.id)?.name ?? page.id;
    case 'unknown':
      return '';
    default:
      return common.pageName[page.name];
  }
}

/** The window's title says where one is, and what rings even while the tab is in the background. */
function useTitle(): void {
  const { page, site: name } = place.value;
  const live = site.value.state.value;
  const ringing = shownAlarms(live?.alarms ?? []).find((alarm) => alarm.ringing);
  const where = whereOf(page, live?.farm.rooms ?? []);
  const plain = [where, live?.farm.site.name ?? common.product].filter((part) => part !== '').join(' · ');
  const marked = name === 'training' ? `${common.training} · ${plain}` : plain;
  const title = ringing === undefined ? marked : wall.alarmTitle(ringing.title);
  useEffect(() => {
    document.title = title;
  }, [title]);
}
