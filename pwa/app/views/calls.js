// Whom to call, and where to go when nobody answers: the numbers and the place
// the practice has set, on this phone without a network.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Card, Notice } from '../../ui/parts.js';
import { tel } from '../../ui/tel.js';
import { answers, unbroken } from '../model/contacts.js';

/** @import { State } from '../app.js' */

/**
 * @param {{s: State, emergency: boolean, go?: boolean}} props go: the advice is to go, so the place and the emergency number stand first
 */
export function Calls({ s, emergency, go = false }) {
  const { t } = s.words;
  const c = s.family?.contacts;
  if (!c?.phone && !c?.emergency_number) return h(Notice, { kind: 'alarm' }, t('advice.nonumber'));
  const state = answers(c, s.now);
  const today = wallAt(s.now, s.zone).date;
  const words = state.open
    ? t('advice.open')
    : state.next
      ? t('advice.closed', { when: s.words.moment(state.next, s.zone, today) })
      : t('advice.closed-unknown');
  const loud = emergency ? 'alarm' : 'main';
  const button = (
    /** @type {string} */ number,
    /** @type {string} */ kind,
    /** @type {string} */ test,
    /** @type {string} */ label,
  ) => number && h('a', { class: `btn wide call ${kind}`, href: tel(number), 'data-test': test }, label);
  const first = state.open || !c.after_hours_phone;
  const clinic = button(c.phone, first && !go ? loud : '', 'call-clinic', t('advice.call', { who: c.clinic }));
  const after = button(
    c.after_hours_phone,
    first || go ? '' : loud,
    'call-after',
    t('advice.after', { number: unbroken(c.after_hours_phone) }),
  );
  const help = button(
    c.emergency_number,
    go ? loud : '',
    'call-emergency',
    t('advice.emergency', { number: unbroken(c.emergency_number) }),
  );
  const where = h(Place, { s, go });
  return h(
    Card,
    null,
    h(
      'div',
      { class: 'stack' },
      go && [where, help],
      h('p', { 'data-test': 'hours' }, words),
      ...(state.open ? [clinic, after] : [after, clinic]),
      !go && [help, emergency && where],
    ),
  );
}

/** Where to go, as the practice has set it. @param {{s: State, go: boolean}} props */
function Place({ s, go }) {
  const { t } = s.words;
  const c = s.family?.contacts;
  const place = c?.emergency_place;
  const lines = place?.name ? [place.name, place.address, place.hours].filter(x => x) : [];
  return h(
    'div',
    { 'data-test': 'place' },
    h('p', null, h('strong', null, t(go ? 'advice.go' : 'advice.nobody'))),
    lines.length > 0
      ? h(
          'p',
          null,
          lines.map((x, i) => [i > 0 && h('br', null), x]),
        )
      : h('p', null, t('advice.noplace')),
  );
}
