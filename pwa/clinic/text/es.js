/** Who speaks the language and has read these words; empty: nobody yet. */
export const READER = '';
/** @type {Record<string, import("../text.js").Text>} */
export const rows = {};
