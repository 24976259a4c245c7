// One wearer before the recall: one page, two sheets of paper.

import * as api from '../api.js';
import {
  DataTable,
  HeadRow,
  Table,
  Trouble,
  asApiError,
  h,
  useEffect,
  useLayoutEffect,
  useLoad,
  useRef,
  useState,
} from '../dom.js';
import { addDays, ago, courseWords, day, dioptres, number, plural, readable, title } from '../format.js';
import { CHANGES_ON_PAPER, evidenceOnPaper, pointsOnPaper, roomOnPaper } from '../paper.js';
import { link } from '../route.js';
import { Care } from './care.js';
import { Claims } from './claims.js';
import { Download } from './download.js';
import { endWords, Glance, standLine } from './glance.js';
import { EyesKey, Lines } from './lines.js';
import { Nights } from './nights.js';
import { halfSaid, Say, SayButton } from './say.js';
import { Timeline } from './timeline.js';
import { Words } from './words.js';
import { ConsentGone } from './consent-gone.js';
import { point, tr } from '../text.js';

/** @import { Me } from '../api.js' */
/** @import { Route } from '../route.js' */
/** @import { EffectRow, GrowthRow, Summary } from '../types.js' */

const FOLLOW_MS = 5000; // as often as the queue of alerts

/**
 * Keeps the review that is shown up to date: what another window, a phone or this page
 * itself writes stands on it within seconds, and a change of the wear state is said.
 * @param {Summary|undefined} sum
 * @param {() => Promise<{mark: string}>} ask
 * @param {() => void} reload
 * @returns {{lost: number, said: string}} lost: when it was last known to hold, ms since 1970, while the server is not reached; 0 while it is. said: where the eyes stand since that changed
 */
function useNewest(sum, ask, reload) {
  const now = useRef({ ask, reload, mark: '', at: 0 });
  const stood = useRef('');
  const [lost, setLost] = useState(0);
  const [said, setSaid] = useState('');
  Object.assign(now.current, { ask, reload, mark: sum?.mark ?? '' }); // those of the last drawing, not the first
  useEffect(() => {
    now.current.at = Date.now();
    if (!sum) return;
    const stands = standLine(sum.glance.stand);
    if (stood.current && stood.current !== stands) setSaid(`${sum.wearer.name}${point(': ')}${stands}`);
    stood.current = stands;
  }, [sum]);
  useEffect(() => {
    let timer = 0;
    let live = true;
    const look = async () => {
      clearTimeout(timer);
      const { ask: asks, mark } = now.current;
      if (mark && document.visibilityState === 'visible')
        try {
          const newest = await asks();
          if (!live) return;
          now.current.at = Date.now();
          setLost(0);
          if (newest.mark !== now.current.mark && mark === now.current.mark) now.current.reload();
        } catch (e) {
          if (!live) return;
          if (asApiError(e).status)
            now.current.reload(); // it says what is wrong
          else setLost(now.current.at);
        }
      timer = window.setTimeout(look, FOLLOW_MS);
    };
    const seen = () => document.visibilityState === 'visible' && look();
    timer = window.setTimeout(look, FOLLOW_MS);
    document.addEventListener('visibilitychange', seen);
    return () => {
      live = false;
      clearTimeout(timer);
      document.removeEventListener('visibilitychange', seen);
    };
  }, []);
  return { lost, said };
}

/** How old a page is that cannot ask. @param {{at: number}} props */
const AsOf = ({ at }) =>
  at
    ? h(
        'p',
        { class: 'trouble', 'data-test': 'as-of' },
        tr('As it was {ago}: the server cannot be reached, and what came since is not on this page.', {
          ago: ago(new Date(at).toISOString(), Date.now()),
        }),
      )
    : null;

/** @param {{me: Me, route: Route}} props */
export function Wearer({ me, route }) {
  const { from = '', to = '', span = '' } = route.params;
  const asked = `${route.arg}/${from}/${to}`;
  const got = useLoad(async again => ({ asked, sum: await api.review(route.arg, from, to, again) }), asked);
  const [open, setOpen] = useState(false);
  const [writing, write] = useState(halfSaid(me, route.arg));
  const [claim, setClaim] = useState(/** @type {import('../types.js').Claim|undefined} */ (undefined));
  const anew = (/** @type {import('../types.js').Claim} */ c) => {
    setClaim(c);
    write(true);
  };
  const [paper, setPaper] = useState({ sheets: 1, times: 0 });
  const onPaper = (/** @type {number} */ sheets) => setPaper({ sheets, times: paper.times + 1 });
  useLayoutEffect(() => {
    if (paper.times) print();
  }, [paper.times]); // what is to be printed has to stand first
  const sum = got.data?.sum;
  const busy = got.busy && got.data?.asked !== asked; // another range is on its way
  const { lost, said } = useNewest(busy ? undefined : sum, () => api.reviewMark(route.arg, from, to), got.reload);
  return h(
    'div',
    { class: `review ${paper.sheets === 2 ? 'two-sheets' : 'one-sheet'}`, 'data-test': 'review' },
    h(Trouble, { error: got.error, busy: got.busy && !sum, retry: got.reload }),
    h(AsOf, { at: lost }),
    h('p', { class: 'hidden', role: 'status', 'data-test': 'stands-said' }, said), // a new emergency has the console's
    busy &&
      h(
        'p',
        { class: 'only-print' },
        tr('Printed before the review was ready. Print it again once it stands on the screen.'),
      ),
    sum &&
      h(
        'div',
        { class: 'sheet-one' },
        h(Head, { sum, span }),
        h(
          'div',
          { class: 'review-bar no-print' },
          h(Range, { sum, wearer: route.arg, span, key: `${sum.from}${sum.to}` }),
          h(Actions, { sum, busy, onPaper, writing, write }),
        ),
        writing
          ? h(Say, { me, wearer: route.arg, mark: sum.mark, claim, wrote: got.reload })
          : h(Claims, {
              list: sum.glance.claims,
              wearer: route.arg,
              may: me.person.role === 'clinician',
              write: anew,
              done: got.reload,
            }),
        h(Unread, { sum }),
        h(Glance, { sum, outcomes: me.outcomes, key: `glance${sum.from}${sum.to}` }),
        h(Foot, { sum, me, span, page: 1, pages: paper.sheets }),
      ),
    sum &&
      h(
        'div',
        { class: 'sheet-two' },
        h(
          'p',
          { class: 'only-print sheet-head' },
          h('b', null, sum.wearer.name),
          ` ${sum.wearer.code} · ${periodWords({ sum, span })}`,
        ),
        h(Rest, {
          sum,
          me,
          open: open || paper.sheets === 2,
          toggle: () => setOpen(!open),
          key: `rest${sum.from}${sum.to}`,
        }),
        h(Foot, { sum, me, span, page: 2, pages: 2 }),
      ),
  );
}

/** What a sheet of paper must say about itself. @param {{sum: Summary, me: Me, span: string, page: number, pages: number}} props */
function Foot({ sum, me, span, page, pages }) {
  return h(
    'p',
    { class: 'only-print foot' },
    tr(
      '{code} · {x} · Self-reported at home; not an examination. Printed {date} by {name}, {name2}. Page {page} of {pages}.',
      {
        code: sum.wearer.code,
        x: periodWords({ sum, span }),
        date: day(sum.today),
        name: me.person.name,
        name2: me.practice.name,
        page,
        pages,
      },
    ),
  );
}

/** @param {{sum: Summary, span: string}} props */
function Head({ sum, span }) {
  const w = sum.wearer;
  const first = sum.plan?.first_night;
  const rest = sum.pauses.find(p => p.from <= sum.today && p.to >= sum.today);
  const next = sum.pauses.find(p => p.from > sum.today);
  return h(
    'header',
    { class: 'review-head' },
    h(
      'div',
      null,
      h('h1', null, w.name, ' ', h('span', { class: 'code' }, w.code)),
      h(ConsentGone, { of: sum }),
      h(
        'p',
        { class: 'facts' },
        [
          sum.age ? tr('{age} years', { age: Math.floor(sum.age) }) : tr('age not known'),
          ...(sum.course > 1 ? [tr('course {n}', { n: sum.course })] : []),
          first ? tr('first night {date}', { date: day(first) }) : tr('not started'),
          ...(sum.ends ? [endWords(sum.ends)] : []),
          sum.last_visit
            ? tr('last visit {date}, {kind}', {
                date: day(sum.last_visit.date),
                kind: title(sum.last_visit.kind).toLowerCase(),
              })
            : sum.course > 1
              ? tr('no visit in this course yet')
              : tr('no visit yet'),
          sum.next_visit ? tr('next {date}', { date: day(sum.next_visit.date) }) : tr('none booked'),
          ...(sum.overdue ? [tr('visit overdue since {date}', { date: day(sum.overdue) })] : []),
          ...(!rest && next
            ? [
                tr('{more} from {date} to {date2}', {
                  more: next.agreed ? tr('no lenses, as agreed,') : tr('reminders paused'),
                  date: day(next.from),
                  date2: day(next.to),
                }),
              ]
            : []),
          ...(rest
            ? [
                tr('{more} until {date}', {
                  more: rest.agreed ? tr('no lenses, as agreed,') : tr('reminders paused'),
                  date: day(rest.to),
                }),
              ]
            : []),
        ].join(' · '),
      ),
      h('p', { class: 'period', 'data-test': 'period' }, periodWords({ sum, span })),
    ),
  );
}

/** @param {{sum: Summary, busy: boolean, onPaper: (sheets: number) => void, writing: boolean, write: (on: boolean) => void}} props busy: another range is on its way */
function Actions({ sum, busy, onPaper, writing, write }) {
  const w = sum.wearer;
  return h(
    'nav',
    { class: 'buttons', 'aria-label': tr('This wearer') },
    h('a', { class: 'button', href: link('visits', w.id) }, tr('Visits')),
    h('a', { class: 'button', href: link('plan', w.id) }, tr('Plan')),
    h('a', { class: 'button', href: link('course', w.id), 'data-test': 'to-course' }, tr('Lenses')),
    h('a', { class: 'button', href: link('family', w.family) }, tr('Family')),
    h(SayButton, { on: writing, set: write }),
    h('a', { class: 'button', href: link('archive', '', { wearer: w.id }) }, tr('Alerts')),
    h(Download, { url: api.fhirUrl(w.id), file: `${w.code}.fhir.json`, label: 'FHIR' }),
    h('button', { type: 'button', disabled: busy, 'data-test': 'print-one', onClick: () => onPaper(1) }, tr('Print')),
    h(
      'button',
      { type: 'button', disabled: busy, 'data-test': 'print-two', onClick: () => onPaper(2) },
      tr('Two sheets'),
    ),
  );
}

/** How far back each button of the period reaches, in nights. */
const SPANS = /** @type {[number, string][]} */ ([
  [30, tr('30 nights')],
  [90, tr('90 nights')],
  [365, tr('1 year')],
]);

/** @param {{sum: Summary, wearer: string, span: string}} props span: the button that made the period, empty for none */
function Range({ sum, wearer, span }) {
  const [from, setFrom] = useState(sum.from);
  const [to, setTo] = useState(sum.to);
  const p = sum.glance.period;
  const base =
    p === 'since-start'
      ? tr('Since the first night')
      : p === 'usual'
        ? tr('The usual 90 nights')
        : tr('Since the last visit');
  /** @param {string} a @param {string} b @param {string} [made] */
  const go = (a, b, made = '') => {
    location.hash = link('wearer', wearer, { from: a, to: b, span: made });
  };
  const wrong =
    from && to && to < from
      ? tr('The last night is before the first.')
      : from > sum.today
        ? tr('The first night is in the future.')
        : '';
  return h(
    'form',
    {
      class: 'range no-print',
      onSubmit: (/** @type {globalThis.Event} */ e) => {
        e.preventDefault();
        if (!wrong) go(from, to);
      },
    },
    h(
      'div',
      { class: 'spans', role: 'group', 'aria-label': tr('Period') },
      h(
        'button',
        { type: 'button', 'aria-pressed': p !== 'chosen', onClick: () => go('', '') },
        p === 'chosen' ? tr('Since the last visit') : base,
      ),
      SPANS.map(([n, name]) =>
        h(
          'button',
          {
            type: 'button',
            'aria-pressed': p === 'chosen' && span === String(n),
            onClick: () => go(addDays(sum.today, -n), '', String(n)),
          },
          name,
        ),
      ),
    ),
    h(
      'details',
      { class: 'dates', open: p === 'chosen' && !span },
      h('summary', null, tr('Other dates')),
      h(
        'div',
        { class: 'dates-form' },
        h(
          'label',
          null,
          tr('From'),
          h('input', {
            type: 'date',
            value: from,
            max: sum.today,
            onInput: (/** @type {globalThis.Event} */ e) => setFrom(/** @type {HTMLInputElement} */ (e.target).value),
          }),
        ),
        h(
          'label',
          null,
          tr('to'),
          h('input', {
            type: 'date',
            value: to,
            max: sum.today,
            'aria-invalid': wrong ? 'true' : undefined,
            onInput: (/** @type {globalThis.Event} */ e) => setTo(/** @type {HTMLInputElement} */ (e.target).value),
          }),
        ),
        h('button', null, tr('Show')),
        wrong && h('span', { class: 'field-error', role: 'alert' }, wrong),
      ),
    ),
  );
}

/** What the family wrote and nobody had read when the page was opened, or has yet: before all else. @param {{sum: Summary}} props */
function Unread({ sum }) {
  const stood = useRef(new Set());
  for (const w of sum.words) if (!w.read) stood.current.add(w.entry);
  const list = sum.words.filter(w => stood.current.has(w.entry));
  if (!list.length) return null;
  return h(
    'section',
    { class: 'unread-words no-print', 'aria-labelledby': 'unread-title', 'data-test': 'unread-words' },
    h('h2', { id: 'unread-title' }, tr('Written by the family, read by nobody yet')),
    h(Words, { list, wearer: sum.wearer.id, of: sum.wearer.name, may: true, zone: '', done: () => {} }),
  );
}

/** @param {{sum: Summary, span: string}} props */
function periodWords({ sum, span }) {
  const made = {
    'since-visit':
      sum.last_visit?.date === sum.today ? tr('since the visit before today’s') : tr('since the last visit'),
    'since-start': tr('since the first night'),
    usual: tr('the usual 90 nights'),
    chosen: SPANS.find(([n]) => String(n) === span)?.[1] ?? 'chosen',
  }[sum.glance.period];
  if (sum.to < sum.from) return tr('from {date} on: no night is over yet', { date: day(sum.from) });
  return tr('{date} to {date2}, {nights} ({made})', {
    date: day(sum.from),
    date2: day(sum.to),
    nights: plural(sum.counts.nights, 'night', 'nights'),
    made,
  });
}

/** @param {{sum: Summary, me: Me, open: boolean, toggle: () => void}} props */
function Rest({ sum, me, open, toggle }) {
  const zone = me.practice.zone;
  return h(
    'details',
    { class: `rest-of-review ${roomOnPaper(sum)}`, open, 'data-test': 'rest' },
    h(
      'summary',
      {
        class: 'no-print',
        onClick: (/** @type {globalThis.Event} */ e) => {
          e.preventDefault();
          toggle();
        },
      },
      tr('Everything else: points in full, calendar, care, sight, events, growth'),
    ),
    open &&
      h(
        'div',
        null,
        h(Points, { sum }),
        h(Nights, { sum }),
        h(Care, { sum }),
        h(Sight, { sum }),
        h(Timeline, { sum, zone, outcomes: me.outcomes }),
        h(AlertLoad, { sum }),
        h(Growth, { sum }),
        h(Trust, { sum }),
      ),
  );
}

/** @param {{sum: Summary}} props */
function Points({ sum }) {
  const paper = pointsOnPaper(sum.points);
  const more = paper.filter(on => !on).length;
  return h(
    'section',
    { class: 'block points', 'aria-labelledby': 'all-points-title', 'data-test': 'all-points' },
    h('h2', { id: 'all-points-title' }, tr('Every point')),
    sum.points.length
      ? h(
          'ol',
          null,
          sum.points.map((p, i) =>
            h(
              'li',
              { key: p.rule, class: paper[i] ? '' : 'no-print', 'data-rule': p.rule },
              h('p', null, p.text),
              h(
                'p',
                { class: 'evidence' },
                h('span', { class: 'no-print' }, readable(p.evidence)),
                h('span', { class: 'only-print' }, readable(evidenceOnPaper(p))),
              ),
              h(
                'details',
                { class: 'no-print' },
                h('summary', null, tr('Why this is raised')),
                h('p', null, tr('Rule {rule}. Basis: {basis}.', { rule: p.rule, basis: p.basis })),
              ),
            ),
          ),
        )
      : h('p', null, tr('No rule raised a point. That says what was logged, not how the eyes are.')),
    more > 0 && h('p', { class: 'only-print quiet' }, tr('And {more} more on screen.', { more })),
    sum.changes.length > 0 &&
      h(
        'div',
        { class: 'changes' },
        h('h3', null, tr('Changed since the stretch before')),
        h(
          'ul',
          null,
          sum.changes.map((c, i) =>
            h(
              'li',
              { class: i < CHANGES_ON_PAPER ? '' : 'no-print' },
              c.text,
              h('span', { class: 'quiet' }, ` (${c.before} → ${c.now})`),
            ),
          ),
        ),
        sum.changes.length > CHANGES_ON_PAPER &&
          h(
            'p',
            { class: 'only-print quiet' },
            tr('And {n} more on screen.', { n: sum.changes.length - CHANGES_ON_PAPER }),
          ),
      ),
    sum.cannot_tell.length > 0 &&
      h(
        'div',
        { class: 'cannot' },
        h('h3', null, tr('What the log cannot tell')),
        h(
          'ul',
          null,
          sum.cannot_tell.map(t => h('li', null, readable(t))),
        ),
      ),
  );
}

/** @param {{sum: Summary}} props */
function Sight({ sum }) {
  const scored = sum.acuity.filter(a => a.logmar !== null);
  const runs = /** @type {const} */ (['right', 'left']).map(eye => ({
    eye,
    points: scored
      .filter(a => a.eye === eye)
      .map(a => ({ date: a.night, value: /** @type {number} */ (a.logmar), note: a.note })),
  }));
  return h(
    'section',
    { class: 'block', 'aria-labelledby': 'sight-title' },
    h('h2', { id: 'sight-title' }, tr('Evening sight and acuity')),
    sum.sight.length > 0 &&
      h(DataTable, {
        caption: tr('Evening sight'),
        head: [tr('Evening'), tr('Sight, of 5'), tr('Hours since removal'), tr('Halos'), tr('Spectacles')],
        rows: sum.sight.map(s => [
          s.night,
          s.rating,
          number(s.hours, 1),
          s.halos ?? '–',
          s.spectacles === null ? '–' : s.spectacles ? 'yes' : 'no',
        ]),
      }),
    !sum.acuity.length
      ? h('p', { class: 'quiet' }, tr('No acuity run at home in this range.'))
      : h(
          'div',
          null,
          h('h3', null, tr('Unaided acuity at home')),
          scored.length
            ? h(Lines, {
                series: runs,
                name: tr('Unaided acuity at home'),
                digits: 2,
                down: true,
                label: tr('Unaided acuity of each eye at home, {runs}; the table below lists them.', {
                  runs: plural(scored.length, 'run', 'runs'),
                }),
              })
            : h('p', { class: 'quiet' }, tr('No run of this range could be scored.')),
          scored.length > 0 && h(EyesKey, null),
          scored.length > 0 &&
            h('p', { class: 'key' }, tr('logMAR, better above. Scored again here from the raw answers.')),
          h(DataTable, {
            caption: tr('Acuity runs'),
            head: [tr('Evening'), tr('Eye'), 'logMAR', '± SD', tr('At'), tr('Reliable'), tr('Note')],
            rows: sum.acuity.map(a => [
              a.night,
              a.eye,
              number(a.logmar, 2),
              number(a.sd, 2),
              `${number(a.distance_m, 1)} m`,
              a.reliable ? 'yes' : 'no',
              a.note ?? '',
            ]),
          }),
        ),
    sum.effect.length > 0 &&
      h(
        'table',
        { class: 'effect' },
        h(
          'caption',
          null,
          tr('Expected course, from hours in lenses and awake. A model of a mean course, not a measurement.'),
        ),
        h(HeadRow, {
          cells: [
            tr('Eye'),
            tr('Before treatment'),
            tr('Course'),
            tr('Clear hours expected'),
            tr('Rest on the last evening'),
          ],
        }),
        h(
          'tbody',
          null,
          sum.effect.map(e => {
            const last = e.residual?.[e.residual.length - 1];
            return h(
              'tr',
              null,
              h('th', { scope: 'row' }, title(e.eye)),
              h('td', null, `${dioptres(e.baseline_d)} D`),
              h('td', null, courseWords(e), h('span', { class: 'quiet' }, `${point(': ')}${e.why}`)),
              h('td', null, clear(e)),
              h(
                'td',
                null,
                last
                  ? tr('{d} D ({low} to {high})', {
                      d: dioptres(last.d),
                      low: dioptres(last.low),
                      high: dioptres(last.high),
                    })
                  : '–',
              ),
            );
          }),
        ),
      ),
  );
}

/** The model looks one day ahead, so 24 hours means the whole of it. @param {EffectRow} e */
function clear(e) {
  if (e.clear_hours === null) return '–';
  const hours = (/** @type {number|null} */ n) => (n !== null && n >= 24 ? tr('all day') : `${number(n, 0)} h`);
  if (e.clear_low !== null && e.clear_low >= 24) return tr('all day');
  return tr('{clear_hours} ({clear_low} to {clear_high})', {
    clear_hours: hours(e.clear_hours),
    clear_low: hours(e.clear_low),
    clear_high: hours(e.clear_high),
  });
}

/** How often this wearer's rules cry: on the screen, as sheet one lists the alerts. @param {{sum: Summary}} props */
function AlertLoad({ sum }) {
  if (!sum.alert_rates.length) return null;
  return h(
    'section',
    { class: 'block no-print', 'data-test': 'alert-rates' },
    h('h2', null, tr('Alerts per 1,000 nights')),
    h(Table, {
      head: [tr('Level'), tr('Opened'), tr('Per 1,000 nights'), tr('95 % limits')],
      rows: sum.alert_rates.map(r => [
        title(r.level),
        tr('{opened} in {nights}', { opened: r.opened, nights: r.nights }),
        number(r.per_1000, 1),
        tr('{low} to {high}', { low: number(r.low, 1), high: number(r.high, 1) }),
      ]),
    }),
  );
}

/** @param {{sum: Summary}} props */
function Growth({ sum }) {
  if (!sum.growth.length)
    return h(
      'section',
      { class: 'block' },
      h('h2', null, tr('Growth')),
      h('p', { class: 'quiet' }, tr('No two axial lengths to compare yet.')),
    );
  const beside = sum.growth[0].beside;
  const like = beside.filter(b => b.name.startsWith('treated'));
  const other = beside.filter(b => !b.name.startsWith('treated'));
  const series = sum.growth.map(g => ({
    eye: /** @type {'right'|'left'} */ (g.eye),
    points: g.readings.map(r => ({ date: r.date, value: r.mm, note: r.note })),
  }));
  return h(
    'section',
    { class: 'block growth', 'aria-labelledby': 'growth-title' },
    h('h2', { id: 'growth-title' }, tr('Growth')),
    h(
      'div',
      { class: 'pair' },
      h(
        'div',
        null,
        h(Lines, {
          series,
          digits: 2,
          name: tr('Axial length'),
          label: tr('Axial length of each eye over time; the table below lists it.'),
        }),
        h(EyesKey, null),
        h(DataTable, {
          caption: tr('Axial length'),
          head: [tr('Date'), tr('Eye'), 'mm', tr('Instrument'), tr('Note')],
          rows: sum.growth.flatMap(g =>
            g.readings.map(r => [r.date, g.eye, number(r.mm, 2), r.instrument, r.note ?? '']),
          ),
        }),
      ),
      h(
        'div',
        null,
        h(
          'table',
          null,
          h(
            'thead',
            null,
            h(
              'tr',
              null,
              [tr('Eye'), tr('mm a year'), tr('Class'), tr('Length, percentile')].map(t =>
                h('th', { scope: 'col' }, t),
              ),
            ),
          ),
          h(
            'tbody',
            null,
            sum.growth.map(g =>
              h(
                'tr',
                null,
                h('th', { scope: 'row' }, title(g.eye)),
                h(
                  'td',
                  null,
                  rate(g),
                  g.period && h('span', { class: 'quiet' }, ` ${g.period}`),
                  h(EarlierRates, { g }),
                ),
                h('td', null, g.class ? title(g.class) : ''),
                h('td', null, g.percentile === null ? '–' : `P${g.percentile}`),
              ),
            ),
          ),
        ),
        sum.growth[0].percentile_of &&
          h(
            'p',
            { class: 'key' },
            tr('Percentile among {percentile_of}.', { percentile_of: sum.growth[0].percentile_of }),
          ),
      ),
    ),
    h(BesideTable, { caption: tr('Published for children in overnight lenses, a year; none is a target'), rows: like }),
    h(BesideTable, {
      caption: tr('Published for other populations, a year: not to be held against the figures above'),
      rows: other,
    }),
  );
}

/** @param {{caption: string, rows: import('../types.js').Beside[]}} props */
function BesideTable({ caption, rows }) {
  if (!rows.length) return null;
  return h(
    'table',
    { class: 'beside' },
    h('caption', null, caption),
    h(
      'tbody',
      null,
      rows.map(b =>
        h(
          'tr',
          null,
          h('th', { scope: 'row' }, title(b.name)),
          h('td', null, tr('{mm_per_year} mm', { mm_per_year: number(b.mm_per_year, 2) })),
          h('td', { class: 'quiet' }, `${b.relation}${point('; ')}${b.population}. ${b.source}`),
        ),
      ),
    ),
  );
}

/** Rates of the time before, which are never pooled with the one above. @param {{g: GrowthRow}} props */
const EarlierRates = ({ g }) =>
  g.earlier.map(e =>
    h(
      'div',
      { class: 'quiet' },
      tr('{period}: {mm_per_year} ({low} to {high})', {
        period: e.period,
        mm_per_year: number(e.mm_per_year, 2),
        low: number(e.low, 2),
        high: number(e.high, 2),
      }),
    ),
  );

/** @param {GrowthRow} g */
function rate(g) {
  if (g.mm_per_year === null) return h('span', { class: 'quiet' }, g.why ?? '–');
  return `${number(g.mm_per_year, 2)} (${number(g.low, 2)} to ${number(g.high, 2)})`;
}

/** @param {{sum: Summary}} props */
function Trust({ sum }) {
  const t = sum.trust;
  return h(
    'section',
    { class: 'block trust', 'aria-labelledby': 'trust-title' },
    h('h2', { id: 'trust-title' }, tr('How far to trust this log')),
    h(
      'ul',
      null,
      t.words.map(w => h('li', null, readable(w))),
    ),
    h(
      'p',
      { class: 'quiet' },
      tr(
        '{entries}, {corrections}, {withdrawals}. Middle delay from the end of a night to its first entry here: {late_median_hours} h.',
        {
          entries: plural(t.entries, 'entry', 'entries'),
          corrections: plural(t.corrections, 'correction', 'corrections'),
          withdrawals: plural(t.retractions, 'withdrawal', 'withdrawals'),
          late_median_hours: number(t.late_median_hours, 1),
        },
      ),
    ),
    sum.words.some(w => w.read) &&
      h(
        'details',
        null,
        h('summary', null, tr('Words of the family that were read lately')),
        h(Words, {
          list: sum.words.filter(w => w.read),
          wearer: sum.wearer.id,
          of: sum.wearer.name,
          may: true,
          zone: '',
          done: () => {},
        }),
      ),
    sum.notes.length > 0 &&
      h(
        'details',
        null,
        h('summary', null, tr('Notes from the family, {n}', { n: sum.notes.length })),
        h(
          'ul',
          null,
          sum.notes.map(n =>
            h('li', null, h('b', null, day(n.night)), ` ${n.by ? `${n.by}${point(': ')}` : ''}${n.text}`),
          ),
        ),
      ),
  );
}
