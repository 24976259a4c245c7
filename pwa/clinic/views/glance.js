// The first screen and the first sheet: what a practitioner with one minute
// before the recall needs, in the order in which it matters.

import { alertCourse } from '../closings.js';
import { h } from '../dom.js';
import { apart, day, eyes, number, plural, readable, title } from '../format.js';
import { LensIn } from './lens-in.js';
import { ReviewBy } from './review-by.js';
import { Score } from './score.js';
import { ENGLISH, point, tr } from '../text.js';

/** @import { AlertFact, GrowthRow, Stand, Summary } from '../types.js' */

/** @param {{sum: Summary, outcomes: import('../types.js').Outcome[]}} props */
export function Glance({ sum, outcomes }) {
  const g = sum.glance;
  // Decided, or owed, and not written: the phones may still ask for a lens. Or worn where nobody asks for it.
  const owed = sum.points.filter(p =>
    ['stop-unwritten', 'event-unstopped', 'worn-after-end', 'worn-without-plan'].includes(p.rule),
  );
  const silent = sum.points.find(p => ['silent', 'silent-early'].includes(p.rule)); // nothing is known of these nights
  return h(
    'div',
    { class: 'glance', 'data-test': 'glance' },
    h(
      'div',
      { class: 'answers' },
      h(
        'section',
        {
          class:
            owed.length || g.lenses_in.length || g.stand.some(s => s.state === 'stop')
              ? 'answer grave'
              : g.stand.some(s => s.state === 'rest')
                ? 'answer doubt'
                : 'answer',
          'data-test': 'stand',
        },
        h('h2', null, tr('Wear')),
        sum.ends && h('p', { class: 'lead', 'data-test': 'ends' }, sentence(endWords(sum.ends))),
        h(
          'p',
          { class: 'lead' },
          g.stand.map((s, i) => [i > 0 && ' · ', h('span', { class: s.eye }, standWords(s))]),
        ),
        h(LensIn, { list: g.lenses_in, phones: sum.phones }),
        sinceWhen(g.stand).map(([eye, s, words]) =>
          h(
            'p',
            { class: 'quiet', key: eye },
            words,
            s.review_by && !sum.ends?.over && [point('; '), h(ReviewBy, { on: s.review_by, today: sum.today })],
          ),
        ),
        owed.map(p => h('p', { key: p.rule, 'data-test': 'owed' }, h('b', null, sentence(readable(owing(p)))))),
        lifts(g.stand).map(words => h('p', { class: 'quiet', key: words, 'data-test': 'lifted' }, words)),
        g.stand.every(s => s.state === 'none') && h('p', { class: 'quiet' }, tr('By the log; no word on the eye.')),
      ),
      h(
        'section',
        { class: g.doubt.level === 'none' && !silent ? 'answer' : 'answer doubt', 'data-test': 'doubt' },
        h('h2', null, tr('How far to trust the log')),
        h('p', { class: 'lead' }, readable(g.doubt.words)),
        silent && h('p', { 'data-test': 'silent' }, sentence(readable(silent.evidence))),
        (g.doubt.detail || g.doubt.level !== 'none') &&
          h(
            'p',
            null,
            readable(g.doubt.detail),
            g.doubt.level !== 'none' && h('span', { class: 'quiet' }, tr(' Read the figures as claims.')),
          ),
      ),
      h(Danger, { sum }),
    ),
    h(Score, { sum }),
    h(
      'div',
      { class: 'under' },
      h(Raised, { sum }),
      h(
        'section',
        { class: 'block found', 'aria-labelledby': 'findings-title' },
        h('h2', { id: 'findings-title' }, tr('Findings and lens')),
        h(Findings, { sum }),
      ),
      h(
        'section',
        { class: 'block told', 'aria-labelledby': 'alerts-title' },
        h('h2', { id: 'alerts-title' }, tr('Last alerts')),
        h(Alerts, { sum, outcomes }),
      ),
    ),
  );
}

/** What is owed, of an event without what follows from no stop, which stands above it. @param {Summary['points'][number]} p */
const owing = p =>
  p.rule === 'event-unstopped' ? p.evidence.split(PIECES).slice(0, -1).join(point('; ')) : p.evidence;

/** Between the pieces of an evidence, in any language of the console. */
const PIECES = /; |；|؛ /;

/** @param {string} s */
const sentence = s => s.charAt(0).toUpperCase() + s.slice(1);

/** That wear ends, or has ended: from when, why, by whom. @param {NonNullable<Summary['ends']>} e */
export function endWords(e) {
  const date = day(e.night);
  const when = e.over
    ? tr('wear ended from the night of {date}', { date })
    : tr('wear ends from the night of {date}', { date });
  return [when, e.why && tr(e.why).toLowerCase(), e.by && tr('by {who_name}', { who_name: e.by })]
    .filter(Boolean)
    .join(point(', '));
}

/** @param {Stand} s */
function standWords(s) {
  const state = { none: tr('no stop'), rest: tr('rest'), stop: tr('stop') }[s.state];
  return `${title(s.eye)} ${state}${s.until ? tr(' until {date}', { date: day(s.until) }) : ''}`;
}

/**
 * Since when an eye is stopped or at rest, and by whom; once where it is the same of both.
 * @param {Stand[]} stands
 */
function sinceWhen(stands) {
  const said = (/** @type {string} */ eye, /** @type {Stand} */ s) =>
    tr('{eye}: since {date}, {why}{more}', {
      eye,
      date: day(s.since),
      why: s.why,
      more: s.by ? `${point(', ')}${s.by}` : '',
    });
  const out = stands
    .filter(s => s.state !== 'none')
    .map(s => /** @type {[string, Stand, string]} */ ([s.eye, s, said(title(s.eye), s)]));
  const alike = (/** @type {Stand} */ s) => [s.state, s.until, s.review_by, said('', s)].join();
  if (out.length === 2 && alike(out[0][1]) === alike(out[1][1]))
    return [/** @type {typeof out[0]} */ (['both', out[0][1], said(tr('Both eyes'), out[0][1])])];
  return out;
}

/** Which stop a release lifted, once where it is that of both eyes. @param {Stand[]} stands */
function lifts(stands) {
  const words = stands.map(({ lifted: l }) =>
    l
      ? tr('lenses again from {date}{more}', { date: day(l.from), more: l.by ? `${point(', ')}${l.by}` : '' }) +
        (l.of.length
          ? point('; ') +
            tr('lifted: {list}', { list: l.of.map(o => `${day(o.on)}${point(', ')}${o.why}`).join(point('; ')) })
          : '')
      : '',
  );
  const said = (/** @type {string} */ who, /** @type {string} */ w) => `${who}${point(': ')}${w}`;
  if (words.length === 2 && words[0] && words[0] === words[1]) return [said(tr('Both eyes'), words[0])];
  return stands.flatMap((s, i) => (words[i] ? [said(title(s.eye), words[i])] : []));
}

/** Where both eyes stand, in a line to be read out. @param {Stand[]} stands */
export const standLine = stands => stands.map(standWords).join(point(', '));

/**
 * What holds now and is graver than any habit, in few words: an eye that is stopped
 * and a report that is open, then what was written down of an eye. More stands
 * beside and below.
 * @param {Summary} sum
 * @returns {string[]}
 */
function holds(sum) {
  const found = sum.points.find(p => p.rule === 'visit-finding')?.evidence.split(PIECES) ?? [];
  const events = sum.points.find(p => p.rule === 'adverse-event')?.evidence.split('; ') ?? [];
  const unwritten = events.length ? undefined : sum.points.find(p => p.rule === 'event-unstopped'); // of an alert that was closed as one
  const open = sum.alerts.filter(a => a.state !== 'closed' && ['emergency', 'urgent'].includes(a.level));
  const now = [
    ...sum.glance.stand.filter(s => s.state === 'stop').map(s => `${title(s.eye)} ${tr('stop')}`),
    ...open.slice(-1).map(a => tr('open alert, {level}', { level: title(a.level).toLowerCase() })),
  ];
  return [
    now.join(' · '),
    sum.ends?.why && !events.length ? sentence(endWords(sum.ends)) : '',
    sentence(readable(found[0] ?? '')), // "right eye, 2026-11-30: infiltrates 3"
    unwritten ? sentence(readable(unwritten.evidence.split(PIECES)[0])) : '',
    events.length > 1
      ? tr('{event}; and {n} earlier', { event: readable(firstPart(events[0])), n: events.length - 1 })
      : readable(firstPart(events[0] ?? '')),
  ].filter(Boolean);
}

/** An event without how it came out. @param {string} said */
const firstPart = said => said.split(/: |：/)[0];

/** @param {{sum: Summary}} props */
function Danger({ sum }) {
  const d = sum.glance.danger;
  const grave = holds(sum);
  const asked = Math.max(
    0,
    ...sum.care.filter(c => ['tap_water', 'water_contact'].includes(c.item)).map(c => c.share.done + c.share.not_done),
  );
  const said = sum.glance.water.map(w =>
    tr(w.answer === 'yes' ? 'yes on {date}' : 'no on {date}', { date: day(w.on) }),
  );
  const wet = sum.glance.water.some(w => w.answer === 'yes');
  /** @type {[string, string]} what was done with water, or not known of it */
  const [water, more] = d
    ? [
        tr('{title} on {nights} of {nights2}', {
          title: d.title,
          nights: d.nights,
          nights2: plural(d.of, 'night', 'nights'),
        }),
        [d.when, tr('last {date}', { date: day(d.last) })].filter(Boolean).join(point('; ')),
      ]
    : asked
      ? [
          tr('No water and no topping up logged'),
          tr('Water answered on {nights}.', { nights: plural(asked, 'night', 'nights') }),
        ]
      : said.length
        ? [wet ? tr('Water was said in a check') : tr('Water: not logged'), '']
        : [tr('Water was never answered'), tr('Ask about it: nothing is known.')];
  return h(
    'section',
    { class: d || wet || grave.length ? 'answer grave' : 'answer', 'data-test': 'danger' },
    h('h2', null, tr('Danger')),
    grave.map((words, i) => h('p', { class: i ? '' : 'lead', key: words }, i ? h('b', null, words) : words)),
    grave.length
      ? h('p', null, d ? h('b', null, water) : water) // the rows of care say when
      : [h('p', { class: 'lead' }, water), more && h('p', { class: d ? '' : 'quiet' }, more)],
    said.length > 0 &&
      h(
        'p',
        { 'data-test': 'water-said', class: wet ? '' : 'quiet' },
        tr('Water, in eye checks: {answers}.', { answers: said.join(point('; ')) }),
        wet && ` ${tr('A later “no” ends no watch.')}`,
      ),
  );
}

/** @param {{sum: Summary}} props */
function Raised({ sum }) {
  const g = sum.glance;
  return h(
    'section',
    { class: 'block raise', 'aria-labelledby': 'points-title', 'data-test': 'points' },
    h('h2', { id: 'points-title' }, tr('Points to raise')),
    g.raise.length
      ? h(
          'ol',
          null,
          g.raise.map(r =>
            h(
              'li',
              { key: r.title, class: r.danger ? 'grave' : '', 'data-rules': r.rules.join(' ') },
              h(
                'span',
                { title: r.danger ? undefined : readable(r.text) },
                h('b', null, r.title),
                `${point(': ')}${readable(r.text)}`,
              ),
            ),
          ),
        )
      : h('p', null, tr('No rule raised a point. That says what was logged, not how the eyes are.')),
    g.more > 0 &&
      h('p', { class: 'quiet' }, tr('And {topics} below.', { topics: plural(g.more, 'more topic', 'more topics') })),
  );
}

/** @param {{sum: Summary, outcomes: import('../types.js').Outcome[]}} props */
function Alerts({ sum, outcomes }) {
  const grave = sum.alerts.filter(a => a.level !== 'note');
  const before = sum.glance.last_alert;
  if (!grave.length)
    return [
      h('p', { key: 'none', class: 'quiet' }, tr('No alert in this period.')),
      before &&
        h(
          'ul',
          { key: 'last', class: 'last-alerts', 'data-test': 'alert-before' },
          h(OneAlert, { a: before, outcomes }),
        ),
    ];
  return h(
    'ul',
    { class: 'last-alerts' },
    grave
      .slice(-3)
      .reverse()
      .map(a => h(OneAlert, { key: a.id, a, outcomes })),
    grave.length > 3 && h('li', { class: 'quiet' }, tr('and {n} earlier', { n: grave.length - 3 })),
  );
}

/** @param {{a: AlertFact, outcomes: import('../types.js').Outcome[]}} props */
const OneAlert = ({ a, outcomes }) =>
  h(
    'li',
    null,
    h('b', null, day(a.opened.slice(0, 10))),
    ` ${title(a.level).toLowerCase()}${point(': ')}${a.title}${a.eye ? ` · ${eyes(a.eye)}` : ''}${point('; ')}${alertCourse(a, outcomes)}`,
    a.state !== 'closed' && h('b', null, a.closings?.length ? tr('; open again, not closed') : tr('; not closed')),
  );

/** @param {{sum: Summary}} props */
function Findings({ sum }) {
  const rows = sum.glance.findings;
  const growth = /** @type {Record<string, GrowthRow|undefined>} */ (
    Object.fromEntries(sum.growth.map(g => [g.eye, g]))
  );
  if (!rows.length && !sum.growth.length) return h('p', { class: 'quiet' }, tr('Nothing was recorded at a visit yet.'));
  const on = oneDate(rows);
  const treated = sum.growth.flatMap(g => g.beside).find(b => b.name.startsWith('treated'));
  return h(
    'div',
    null,
    h(
      'table',
      { class: 'last-findings' },
      h(
        'thead',
        null,
        h(
          'tr',
          null,
          h('td', null, h(On, { date: on })),
          h('th', { scope: 'col', class: 'right' }, tr('Right')),
          h('th', { scope: 'col', class: 'left' }, tr('Left')),
        ),
      ),
      h(
        'tbody',
        null,
        rows.map(f =>
          h(
            'tr',
            { key: f.name },
            h('th', { scope: 'row' }, f.name, h(On, { date: same(f) === on ? '' : same(f) })),
            h('td', null, cell(f.right, same(f) || f.right_on === on ? '' : f.right_on)),
            h('td', null, cell(f.left, same(f) || f.left_on === on ? '' : f.left_on)),
          ),
        ),
        sum.growth.length > 0 && h('tr', null, rates(growth)),
      ),
    ),
    treated &&
      sum.growth.some(g => g.mm_per_year !== null) &&
      h(
        'p',
        { class: 'quiet' },
        tr('Published for children in overnight lenses: {mm_per_year} mm a year', {
          mm_per_year: number(treated.mm_per_year, 2),
        }),
        point('; '),
        h('span', ENGLISH, `${treated.population}.`),
      ),
  );
}

/** The date that most of the findings have, said once. @param {import('../types.js').Finding[]} rows */
function oneDate(rows) {
  const dates = rows.flatMap(f => [f.right_on, f.left_on]).filter(Boolean);
  const times = (/** @type {string} */ d) => dates.filter(x => x === d).length;
  return dates.reduce((best, d) => (times(d) > times(best) ? d : best), dates[0] ?? '');
}

/** The date of both eyes, when it is one. @param {import('../types.js').Finding} f */
const same = f => ((f.right_on || f.left_on) === (f.left_on || f.right_on) ? f.right_on || f.left_on : '');

/** @param {{date: string}} props */
const On = ({ date }) => (date ? h('span', { class: 'quiet on' }, ` ${day(date)}`) : null);

/** @param {string} value @param {string} on */
const cell = (value, on) =>
  value ? [/\p{L}/u.test(value) ? readable(value) : apart(value), h(On, { date: on })] : '–';

/** Both eyes, in one cell of the whole width when the same keeps both from having a rate. @param {Record<string, GrowthRow|undefined>} growth */
function rates({ right, left }) {
  if (right?.mm_per_year === null && left?.mm_per_year === null && right.why === left.why)
    return h('td', { colSpan: 3 }, tr('Growth, mm a year'), point(': '), rate(right));
  const name = h('th', { scope: 'row' }, tr('Growth, mm a year'));
  return [name, h('td', { class: 'one-line' }, rate(right)), h('td', { class: 'one-line' }, rate(left))];
}

/** @param {GrowthRow|undefined} g */
function rate(g) {
  if (!g) return '–';
  if (g.mm_per_year === null) return h('span', { class: 'quiet' }, g.why ?? tr('no rate'));
  const [low, high] = [g.mm_per_year - (g.low ?? 0), (g.high ?? 0) - g.mm_per_year];
  if (Math.abs(high - low) < 0.01) return `${number(g.mm_per_year, 2)} ± ${number(high, 2)}`;
  return `${number(g.mm_per_year, 2)} (${number(g.low, 2)} to ${number(g.high, 2)})`;
}
