// What the suitability form answered last, for the plan that may follow. It is
// kept in the memory of this tab only and never taken over by itself.

/** @import { Suitability } from './api.js' */

/** @type {Suitability|null} */
let answer = null;

/** @param {Suitability|null} result */
export const keep = result => {
  answer = result;
};

/** @returns {Suitability|null} */
export const kept = () => answer;
