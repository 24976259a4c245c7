// How long an eye is still to be rinsed. Fetched after the start. Pure.

/** How long an eye is rinsed after a chemical, in minutes: NHS, Eye injuries (page reviewed 7 June 2022). */
export const RINSE_MINUTES = 20;

/** Seconds still to rinse. @param {number} from Unix ms @param {number} now Unix ms */
export const leftToRinse = (from, now) =>
  Math.max(0, Math.min(RINSE_MINUTES * 60, Math.ceil(RINSE_MINUTES * 60 - (now - from) / 1000)));
