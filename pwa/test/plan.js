// A care plan of every night, both eyes, for the tests of what the phone asks for.

/** @import { Plan } from '../../schedule/due.js' */

export const ZONE = 'Europe/Madrid';

export const plan = /** @type {Plan} */ (
  /** @type {unknown} */ ({
    version: 1,
    from: '2026-01-01',
    zone: ZONE,
    first_night: '2026-01-01',
    stopped: '',
    eyes: 'both',
    care_system: 'peroxide',
    soak_minutes: 360,
    insertion_at: '21:30',
    removal_at: '06:45',
    evening_sight_at: '19:00',
    pauses: [],
  })
);
