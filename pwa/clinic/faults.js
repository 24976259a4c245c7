// What the server says is wrong with a form, for the field each fault is about, in
// the words of the form. Pure.

import { point } from './text.js';

/** Between two faults of one refusal: a new line, or a semicolon before the next field's code. */
export const BETWEEN = /\n|; (?=[a-z][a-z_.[\]0-9]*: )/;
export const FAULT = /^([a-z][a-z_.[\]0-9]*): ([\s\S]*)$/;

/**
 * @param {{message: string, field: string}|undefined} error
 * @param {Record<string, string>} labels of the form's fields, by the server's code
 * @returns {{at: Record<string, string>, rest: string}} what is wrong by field, and what is about none of them; no code of a field stands in it
 */
export function faultsIn(error, labels) {
  /** @type {Record<string, string>} */
  const at = {};
  /** @type {string[]} */
  const rest = [];
  for (const line of error?.message.split(BETWEEN) ?? []) {
    const m = FAULT.exec(line);
    const field = m ? m[1] : (error?.field ?? '');
    const here = !!labels[field] && !at[field];
    const words = sentence(named(m && here ? m[2] : line, labels));
    if (here) at[field] = words;
    else if (words) rest.push(words);
  }
  return { at, rest: rest.join(' ') };
}

/** @param {string} text @param {Record<string, string>} labels @returns {string} with what a field is called in place of its code */
const named = (text, labels) =>
  text.replace(/\b[a-z]+(?:[_.][a-z]+)+\b/g, code => (labels[code] ? `“${labels[code]}”` : code));

/** @param {string} text @returns {string} with a capital and a full stop */
const sentence = text => text && text[0].toUpperCase() + text.slice(1) + (/[.!?。！？]$/.test(text) ? '' : point('.'));
