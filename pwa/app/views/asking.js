// A question of a form that was left without its answer: it says so itself, and gets the focus.
import { h } from '../../ui/dom.js';
import { goOn } from '../../ui/focus.js';

/** @param {string} question @param {string} [lack] what is missing, in words */
export const asking = (question, lack) =>
  lack ? [question, h('span', { class: 'entry-fault', role: 'alert', style: { display: 'block' } }, lack)] : question;

/** Leads to its first answer, once it has said so. */
export const goToLack = () => goOn(document.activeElement, 'fieldset:has(legend .entry-fault) :is(.choice, input)');
