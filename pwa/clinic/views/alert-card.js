// One alert in the queue: what was reported, whom to phone, and what to do
// about it.

import * as api from '../api.js';
import { h, useAction, useState } from '../dom.js';
import { ago, both, LEVEL, moment, title } from '../format.js';
import { link, wearerPage } from '../route.js';
import { tel } from '../../ui/tel.js';

/** @import { Alert, Me } from '../api.js' */

const SHAPE = { emergency: '▲', urgent: '◆', routine: '●', note: '○' };

/**
 * @param {{alert: Alert, me: Me, now: number, done: () => void}} props
 */
export function AlertCard({ alert, me, now, done }) {
  const [open, setOpen] = useState('');
  const action = useAction();
  /** @param {() => Promise<unknown>} job */
  const act = (job) => action.run(async () => { await job(); setOpen(''); done(); });
  const mayClose = me.person.role !== 'desk'; // the outcome is a clinical statement
  const acknowledge = () => act(() => api.acknowledge(alert.id));
  /** @param {KeyboardEvent} e */
  const keys = (e) => {
    if (e.target !== e.currentTarget || e.ctrlKey || e.metaKey || e.altKey) return;
    if (e.key === 'a' && alert.state === 'open') acknowledge();
    else if (e.key === 'c' && mayClose && alert.state !== 'closed') setOpen('close');
    else if (e.key === 'm') setOpen('comment');
    else if (e.key === 'h' && alert.state !== 'closed') setOpen('hand-over');
    else if (e.key === 'j' || e.key === 'k') step(/** @type {HTMLElement} */ (e.currentTarget), e.key === 'j' ? 1 : -1);
    else return;
    e.preventDefault();
  };
  const began = alert.began ? `began ${ago(alert.began, now)} (${both(alert.began, me.practice.zone, alert.zone)}), ` : '';
  return h('article', { class: `alert ${alert.level} ${alert.state}`, 'data-test': 'alert-row', 'data-alert': alert.id, tabIndex: 0, onKeyDown: keys, 'aria-label': `${title(alert.level)}: ${alert.title}, ${alert.wearer_name}` },
    h('header', null,
      h('p', { class: 'level' }, h('span', { 'aria-hidden': 'true' }, SHAPE[alert.level]), ' ', LEVEL[alert.level]),
      h('h3', null, alert.title, alert.eye && ` · ${alert.eye === 'both' ? 'both eyes' : `${alert.eye} eye`}`),
      h('p', null, h('a', { href: link(wearerPage(me), alert.wearer) }, alert.wearer_name), ' ', h('span', { class: 'code' }, alert.wearer_code)),
      h('p', { class: 'times' }, began, `reached us ${ago(alert.opened, now)} (${both(alert.opened, me.practice.zone, alert.zone)})`)),
    alert.evidence && h('p', { class: 'evidence' }, alert.evidence),
    alert.told && h('p', { class: 'quiet' }, 'The family was told: ', alert.told),
    h('p', { class: 'delivery' }, standing(alert, me)),
    contacts(alert),
    h('div', { class: 'buttons' },
      alert.state === 'open' && h('button', { type: 'button', class: 'primary', 'data-test': 'acknowledge', disabled: action.busy, onClick: acknowledge, 'aria-keyshortcuts': 'a' }, 'I have this'),
      alert.state !== 'closed' && mayClose && h('button', { type: 'button', 'data-test': 'close', 'aria-expanded': open === 'close', onClick: () => setOpen(open === 'close' ? '' : 'close'), 'aria-keyshortcuts': 'c' }, 'Close with outcome…'),
      h('button', { type: 'button', 'data-test': 'comment', 'aria-expanded': open === 'comment', onClick: () => setOpen(open === 'comment' ? '' : 'comment'), 'aria-keyshortcuts': 'm' }, 'Comment…'),
      alert.state !== 'closed' && h('button', { type: 'button', 'data-test': 'hand-over', 'aria-expanded': open === 'hand-over', onClick: () => setOpen(open === 'hand-over' ? '' : 'hand-over'), 'aria-keyshortcuts': 'h' }, 'Hand over…')),
    open === 'close' && h(CloseForm, { alert, me, busy: action.busy, act }),
    open === 'comment' && h(CommentForm, { alert, busy: action.busy, act }),
    open === 'hand-over' && h(HandOverForm, { alert, me, busy: action.busy, act }),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    h(History, { alert, zone: me.practice.zone }));
}

/**
 * Moves the focus to the next or the previous alert.
 * @param {HTMLElement} row
 * @param {number} by 1 or -1
 */
function step(row, by) {
  const rows = /** @type {HTMLElement[]} */ ([...document.querySelectorAll('[data-test=alert-row]')]);
  rows[rows.indexOf(row) + by]?.focus();
}

/**
 * @param {Alert} alert
 * @param {Me} me
 * @returns {string} who has it, or where delivery stands
 */
function standing(alert, me) {
  const zone = me.practice.zone;
  const handed = alert.assigned_name && alert.assigned_name !== alert.ack_by_name ? ` Handed to ${alert.assigned_name}.` : '';
  if (alert.state === 'closed') return `Closed: ${me.outcomes.find((o) => o.key === alert.outcome)?.title ?? title(alert.outcome ?? '')}.`;
  if (alert.state === 'acknowledged') return `${alert.ack_by_name} has this since ${moment(alert.ack_at ?? '', zone)}.${handed}`;
  return `Nobody has acknowledged this. ${sentence(alert.step)}${handed}`;
}

/** @param {string} text @returns {string} with a capital and a full stop */
function sentence(text) {
  if (!text) return '';
  return text.charAt(0).toUpperCase() + text.slice(1) + (/[.!?]$/.test(text) ? '' : '.');
}

/** @param {Alert} alert */
function contacts(alert) {
  const reachable = (alert.contact ?? []).filter((c) => c.phone);
  if (alert.state === 'closed' || !reachable.length) return null;
  return h('ul', { class: 'contacts' }, reachable.map((c) =>
    h('li', null, h('a', { href: tel(c.phone) }, c.phone), ` ${c.name}`, c.relation && h('span', { class: 'quiet' }, ` ${c.relation}`))));
}

/**
 * @typedef {object} FormProps
 * @property {Alert} alert
 * @property {boolean} busy
 * @property {(job: () => Promise<unknown>) => void} act
 */

/** @param {HTMLElement|null} el */
const focusIt = (el) => el?.focus();

/** @param {FormProps & {me: Me}} props */
function CloseForm({ alert, me, busy, act }) {
  const [outcome, setOutcome] = useState('');
  const [note, setNote] = useState('');
  return h('form', { class: 'inline-form', onSubmit: (/** @type {Event} */ e) => { e.preventDefault(); act(() => api.close(alert.id, outcome, note)); } },
    h('label', null, 'Outcome',
      h('select', { required: true, ref: focusIt, 'data-test': 'close-outcome', value: outcome, onChange: (/** @type {Event} */ e) => setOutcome(/** @type {HTMLSelectElement} */ (e.target).value) },
        h('option', { value: '' }, 'Choose…'), me.outcomes.map((o) => h('option', { value: o.key }, o.title)))),
    h('label', { class: 'grow' }, 'What was done',
      h('input', { type: 'text', maxLength: 2000, 'data-test': 'close-note', required: true, value: note, onInput: (/** @type {Event} */ e) => setNote(/** @type {HTMLInputElement} */ (e.target).value) })),
    h('button', { class: 'primary', 'data-test': 'close-save', disabled: busy }, 'Close the alert'),
    alert.level === 'emergency' && h('p', { class: 'hint' }, '“It got better” is no reason to close an emergency: a family’s report never ends one, only what the practice did about it.'));
}

/** @param {FormProps} props */
function CommentForm({ alert, busy, act }) {
  const [text, setText] = useState('');
  return h('form', { class: 'inline-form', onSubmit: (/** @type {Event} */ e) => { e.preventDefault(); act(() => api.comment(alert.id, text)); } },
    h('label', { class: 'grow' }, 'Comment for the practice',
      h('input', { type: 'text', required: true, maxLength: 2000, ref: focusIt, value: text, onInput: (/** @type {Event} */ e) => setText(/** @type {HTMLInputElement} */ (e.target).value) })),
    h('button', { class: 'primary', disabled: busy }, 'Add'));
}

/** @param {FormProps & {me: Me}} props */
function HandOverForm({ alert, me, busy, act }) {
  const [to, setTo] = useState('');
  return h('form', { class: 'inline-form', onSubmit: (/** @type {Event} */ e) => { e.preventDefault(); act(() => api.handOver(alert.id, to)); } },
    h('label', null, 'To',
      h('select', { required: true, ref: focusIt, value: to, onChange: (/** @type {Event} */ e) => setTo(/** @type {HTMLSelectElement} */ (e.target).value) },
        h('option', { value: '' }, 'Choose…'), me.staff.filter((s) => s.id !== me.person.id).map((s) => h('option', { value: s.id }, `${s.name}, ${s.role}`)))),
    h('button', { class: 'primary', disabled: busy }, 'Hand over'),
    h('p', { class: 'hint' }, 'They are told at once. It counts as not acknowledged until they take it.'));
}

/** @param {{alert: Alert, zone: string}} props */
function History({ alert, zone }) {
  return h('details', { class: 'history' },
    h('summary', null, `History, ${alert.history.length}`),
    h('ol', null, alert.history.map((x) => h('li', null,
      h('time', { dateTime: x.at }, moment(x.at, zone)), ` ${title(x.what)}`, x.who_name && ` by ${x.who_name}`, x.text && `: ${x.text}`,
      x.last && `; the same ${x.times === 1 ? 'once' : `${x.times} times`} more, last ${moment(x.last, zone)}`))));
}
