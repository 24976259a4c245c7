// Awaiting translation review.
export const REVIEWER = "";
/** @type {Record<string, string>} */
export const ar = {};
