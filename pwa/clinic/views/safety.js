// What the program is for and what it is not, paper for when it is down, and every
// hazard with what stops it.
import * as api from '../api.js';
import { h, Trouble, useLoad, useState } from '../dom.js';
import { title } from '../format.js';
import { SHEETS } from '../papers.js';
import { link } from '../route.js';
import { SHEET_NAMES } from './paper.js';
import { withEnglish } from './quoted.js';
import { ENGLISH, tr } from '../text.js';

/** @import { Hazard, SafetyAnswer } from '../api.js' */

/** The page of the safety case. */
export function Safety() {
  const got = useLoad(api.safety, 'safety');
  return h(
    'div',
    { class: 'safety' },
    h('h1', null, tr('Safety')),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data && [
      h(Purpose, { of: got.data }),
      h(Papers, null),
      h(Hazards, { of: got.data }),
      h(Parts, { of: got.data }),
    ],
  );
}

/** @param {{name: string, list: any[]}} props */
const Few = ({ name, list }) => [
  h('h3', null, name),
  h(
    'ul',
    null,
    list.map((x, i) => h('li', { key: i, ...ENGLISH }, x)),
  ),
];

/** @param {{of: SafetyAnswer}} props */
function Purpose({ of }) {
  const p = of.purpose;
  return h(
    'section',
    { class: 'card', 'data-test': 'purpose' },
    h('h2', null, tr('What it is for')),
    h('p', ENGLISH, p.for),
    h(Few, { name: tr('What it is not'), list: p.is_not }),
    h(
      'details',
      null,
      h('summary', null, tr('Who uses it, where, and its limits')),
      h(Few, { name: tr('Who uses it'), list: p.users }),
      h(Few, { name: tr('Where'), list: p.setting }),
      h(Few, { name: tr('Limits'), list: p.limits }),
    ),
    h(
      'details',
      null,
      h('summary', null, tr('To settle before you rely on it: questions, not claims')),
      h(
        'dl',
        null,
        p.questions.map(q => [h('dt', ENGLISH, q.ask), h('dd', { class: 'quiet', ...ENGLISH }, q.read)]),
      ),
    ),
    h('h3', null, tr('When somebody came to harm, or nearly did')),
    h(
      'p',
      null,
      h('span', ENGLISH, p.incident),
      of.contact && tr(' Whoever runs this server: {contact}.', { contact: of.contact }),
    ),
  );
}

const Papers = () =>
  h(
    'section',
    { class: 'card' },
    h('h2', null, tr('On paper')),
    h(
      'p',
      null,
      tr('Print these before you need them, again after a number or a rule has changed, and keep them at hand.'),
    ),
    h(
      'div',
      { class: 'buttons' },
      SHEETS.map(s =>
        h('a', { class: 'button', key: s, href: link('paper', s), 'data-test': `to-${s}` }, SHEET_NAMES[s]),
      ),
      h(
        'a',
        { class: 'button', href: link('readers'), 'data-test': 'to-readers' },
        tr('Every text, for readers of a language'),
      ),
    ),
  );

/** @param {{of: SafetyAnswer}} props */
function Hazards({ of }) {
  const [text, setText] = useState('');
  const wanted = text.trim().toLowerCase();
  const all = of.log.areas.flatMap(a => a.hazards);
  const fits = (/** @type {Hazard} */ x) => !wanted || JSON.stringify(x).toLowerCase().includes(wanted);
  const count = (/** @type {string} */ s) => all.filter(x => x.status === s).length;
  return h(
    'section',
    { class: 'hazards' },
    h('h2', null, tr('Hazards and what stops them')),
    h(
      'p',
      null,
      withEnglish(
        tr('{more} controlled, {more2} partly, {more3} accepted. {scores}', {
          more: count('controlled'),
          more2: count('partly'),
          more3: count('accepted'),
        }),
        { scores: of.log.scores },
      ),
    ),
    h(
      'p',
      { class: 'quiet' },
      withEnglish(tr('Severity: {severity}. Probability: {probability}.'), {
        severity: scale(of.log.severity),
        probability: scale(of.log.probability),
      }),
    ),
    h(
      'label',
      { class: 'no-print' },
      tr('Find by id, word, rule, setting or test '),
      h('input', {
        type: 'search',
        value: text,
        'data-test': 'hazard-find',
        onInput: (/** @type {Event} */ e) => setText(/** @type {HTMLInputElement} */ (e.target).value),
      }),
    ),
    of.log.areas
      .map(a => ({ ...a, hazards: a.hazards.filter(fits) }))
      .filter(a => a.hazards.length)
      .map(a =>
        h(
          'details',
          { key: a.name, class: 'card', open: !!wanted },
          h('summary', ENGLISH, h('strong', null, a.name), ` ${a.hazards.length}. `, a.requirement),
          a.hazards.map(x => h(One, { key: x.id, of: x })),
        ),
      ),
  );
}

/** @param {string[]} words */
const scale = words => words.map((w, i) => `${i + 1} ${w}`).join('; ');

/** @param {{of: Hazard}} props */
const One = ({ of }) =>
  h(
    'article',
    { class: 'hazard', 'data-test': 'hazard', 'data-id': of.id },
    h('h3', ENGLISH, `${[of.id, ...(of.merged ?? [])].join(', ')} ${of.hazard}`),
    h(
      'p',
      null,
      tr('Severity {severity}, probability {probability}, ', { severity: of.severity, probability: of.probability }),
      h('strong', null, title(of.status)),
      of.left && [': ', h('span', ENGLISH, of.left)],
      of.by && [': ', h('span', ENGLISH, `${of.by}. ${of.why}`)],
    ),
    h(
      'dl',
      null,
      h('dt', null, tr('Cause')),
      h('dd', ENGLISH, of.cause),
      h('dt', null, tr('Situation')),
      h('dd', ENGLISH, of.situation),
      h('dt', null, tr('Harm')),
      h('dd', ENGLISH, of.harm),
      of.controls.map(c => [
        h('dt', null, tr('Control')),
        h('dd', ENGLISH, c.what, h('br', null), h('code', { class: 'quiet' }, [...c.code, ...c.tests].join(' · '))),
      ]),
    ),
  );

/** @param {{of: SafetyAnswer}} props */
const Parts = ({ of }) =>
  h(
    'details',
    { class: 'card' },
    h('summary', null, tr('Parts that others made')),
    h(
      'ul',
      null,
      of.parts.map(p =>
        h(
          'li',
          { key: p.part },
          h('code', null, `${p.part} ${p.version ?? ''}`),
          withEnglish(tr(' {licence}, risk {risk}: {why}. Known faults: {faults}.'), {
            licence: p.licence,
            risk: p.risk,
            why: p.why,
            faults: p.faults,
          }),
        ),
      ),
    ),
  );
