import type { Access } from '../../../shared/doors.ts';

const anyone: Access = { role: 'anyone' };
const admin: Access = { role: 'admin' };
/** What a wall screen shows. */
const shown: Access = { role: 'viewer', wall: 'read', scope: 'read' };
/** What is looked up at a desk or on a phone. */
const lookedUp: Access = { role: 'viewer', scope: 'read' };
const signedIn: Access = { role: 'viewer' };
const operator: Access = { role: 'operator' };

/**
 * Who may call what: every route of the API, in one table. A route that is not here does not start
 * (`checkEveryRouteHasAccess`), and a test tries each against everybody who might call it.
 */
export const accessTable: Readonly<Record<string, Access>> = {
  'GET /health': anyone,
  'GET /metrics': lookedUp,
  'GET /api/openapi.json': lookedUp,

  'GET /api/doors': anyone,
  'POST /api/doors/set-up': anyone,
  'POST /api/doors/sign-in': anyone,
  'POST /api/doors/sign-out': anyone,
  'POST /api/doors/join': anyone,
  'POST /api/doors/password': signedIn,
  'GET /api/doors/sessions': signedIn,
  'GET /api/doors/changes': signedIn,
  'POST /api/doors/sign-out-elsewhere': signedIn,
  'GET /api/doors/people': admin,
  'POST /api/doors/people': admin,
  'POST /api/doors/people/:id': admin,
  'POST /api/doors/people/:id/invite': admin,
  'POST /api/doors/people/:id/sign-out': admin,
  'POST /api/doors/walls/ask': anyone,
  'POST /api/doors/walls/claim': anyone,
  'GET /api/doors/walls': operator,
  'POST /api/doors/walls': operator,
  'POST /api/doors/walls/:id': operator,
  'POST /api/doors/walls/:id/revoke': operator,
  'GET /api/doors/scripts': admin,
  'POST /api/doors/scripts': admin,
  'POST /api/doors/scripts/:id/revoke': admin,
  'GET /api/doors/devices': admin,
  'POST /api/doors/devices': admin,
  'POST /api/doors/devices/:id/revoke': admin,
  'GET /api/doors/journal': admin,
  'GET /api/doors/journal.csv': admin,

  'GET /api/sites/:site/live': shown,
  'GET /api/sites/:site/stream': shown,
  'GET /api/sites/:site/series': shown,
  'GET /api/sites/:site/shelves/:shelf/air': shown,
  'GET /api/sites/:site/species': lookedUp,
  'GET /api/sites/:site/batches/:id': shown,
  'GET /api/sites/:site/cohorts/:batch/:bag/curve': shown,
  'GET /api/sites/:site/strains/:id': shown,
  'POST /api/sites/:site/events': { role: 'operator', scope: 'bags' },
  // A question changes nothing, whatever its method.
  'POST /api/sites/:site/unloads/plan': lookedUp,
  'GET /api/sites/:site/unloads': lookedUp,
  'GET /api/sites/:site/unloads/:id': lookedUp,
  'POST /api/sites/:site/unloads/events': { role: 'operator', scope: 'bags' },
  'GET /api/sites/:site/rooms/:id': lookedUp,
  'POST /api/sites/:site/alarms/act': { role: 'operator', wall: 'acknowledge', scope: 'alarms' },
  'GET /api/sites/:site/alarms/detail': lookedUp,
  'GET /api/sites/:site/alarms/journal': lookedUp,
  'GET /api/sites/:site/alarms/journal.csv': lookedUp,
  'GET /api/sites/:site/alarms/nuisance': lookedUp,
  'GET /api/sites/:site/limits': lookedUp,
  'POST /api/sites/:site/limits/back-test': operator,
  'POST /api/sites/:site/limits': admin,
  'GET /api/sites/:site/found': lookedUp,
  'GET /api/sites/:site/people': lookedUp,
  'POST /api/sites/:site/people/try': operator,
  // The link itself is what its holder shows.
  'GET /api/acknowledge/:token': anyone,
  'POST /api/acknowledge/:token': anyone,

  'GET /api/training/weeks': signedIn,
  'GET /api/training/report': signedIn,
  'POST /api/training/start': operator,
  'POST /api/training/speed': operator,
  'POST /api/training/pause': operator,
  'POST /api/training/stop': operator,
};
