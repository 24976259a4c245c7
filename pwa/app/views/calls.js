// Whom to call, and where to go when nobody answers: the numbers and the place
// the practice has set, on this phone without a network.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Card, Notice } from '../../ui/parts.js';
import { tel } from '../../ui/tel.js';
import { answers } from '../model/contacts.js';

/**
 * @import { State } from '../app.js'
 * @import { Children } from '../../ui/dom.js'
 * @import { Contacts } from '../model/contacts.js'
 */
/** What is looked at of a phone: one that has not joined knows no family. @typedef {Pick<State, 'words'|'now'|'zone'> & {skew?: number, family: {contacts: Contacts, speaks?: string}|null}} Phone */

/**
 * @param {{s: Phone, level?: string, go?: boolean}} props level: how soon somebody must answer; with emergency and
 *   urgent the place to go to when nobody does. go: the advice is to go, so the emergency number and the place stand first
 */
export function Calls({ s, level = '', go = false }) {
  const { t } = s.words;
  const c = s.family?.contacts;
  const ask = go ? 'advice.go' : level === 'urgent' ? 'advice.nobody-hour' : 'advice.nobody';
  const where = level && h(Place, { s, ask });
  if (!c?.phone && !c?.emergency_number)
    return h('div', { class: 'stack' }, h(Notice, { kind: 'alarm' }, t('advice.nonumber')), where);
  const now = s.now + (s.skew ?? 0); // a phone's wrong clock shows no closed clinic as open
  const state = answers(c, now);
  const today = wallAt(now, s.zone).date;
  const words = state.open
    ? t('advice.open')
    : state.next
      ? t('advice.closed', { when: s.words.moment(state.next, s.zone, today) })
      : t('advice.closed-unknown');
  const loud = level === 'emergency' ? 'alarm' : 'main';
  const button = (
    /** @type {string} */ number,
    /** @type {string} */ kind,
    /** @type {string} */ test,
    /** @type {Children} */ label,
  ) => number && h('a', { class: `btn wide call ${kind}`, href: tel(number), 'data-test': test }, label);
  // A number goes to a line of its own, and breaks only where it is wider than that, between its groups.
  const withNumber = (/** @type {string} */ key, /** @type {string} */ number) => {
    const [before, after] = t(key, { number: '|' }).split('|');
    // Each is a block of its own, which would lose a space at its end.
    return h(
      'span',
      null,
      h('bdi', null, before.trimEnd()),
      / $/.test(before) && ' ',
      h('bdi', { dir: 'ltr' }, number),
      after,
    );
  };
  const first = state.open || !c.after_hours_phone;
  const clinic = button(c.phone, first && !go ? loud : '', 'call-clinic', t('advice.call', { who: c.clinic }));
  const after = button(
    c.after_hours_phone,
    first || go ? '' : loud,
    'call-after',
    withNumber('advice.after', c.after_hours_phone),
  );
  const help = button(
    c.emergency_number,
    go ? loud : '',
    'call-emergency',
    withNumber('advice.emergency', c.emergency_number),
  );
  return h(
    Card,
    null,
    h(
      'div',
      { class: 'stack' },
      go && [help, where], // on a screen of 4 inches the number is in the first one
      h('p', { 'data-test': 'hours' }, words),
      ...(state.open ? [clinic, after] : [after, clinic]),
      !go && [help, where],
    ),
  );
}

/** Where to go, as the practice has set it and in its language, which a phone that has not joined does not know. @param {{s: Phone, ask: string}} props */
function Place({ s, ask }) {
  const { t } = s.words;
  const c = s.family?.contacts;
  const place = c?.emergency_place;
  const lines = place?.name ? [place.name, place.address, place.hours].filter(x => x) : [];
  return h(
    'div',
    { 'data-test': 'place' },
    h('p', null, h('strong', null, t(ask))),
    lines.length > 0
      ? h(
          'p',
          null,
          lines.map((x, i) => [i > 0 && h('br', null), h('bdi', { lang: s.family?.speaks ?? '' }, x)]),
        )
      : h('p', null, t('advice.noplace')),
  );
}
