// The picture of a period: time in lenses, evening sight, care and events, each
// row a strip on one axis, its figure at the right end.

import { h } from '../dom.js';
import { addDays, day, dayMonth, dayNumber, monthName, number, plural } from '../format.js';
import { clockRange, columnsOf, drawnAs, nightHours, percent, rankedCare } from '../strips.js';
import { nightWords } from './nights.js';
import { language, point, tr } from '../text.js';

/** @import { ComponentChildren } from '../../vendor/preact.js' */
/** @import { Column } from '../strips.js' */
/** @import { CareRow, NightRow, Summary } from '../types.js' */

const WIDTH = 1000;
const LEFT = 150;
const RIGHT = 736;
const FIGURE = RIGHT + 12;
const TOP = 20;
const HIGH = 84; // the row of time in lenses
const ROW = 15;
const WIDEST = 18; // of a night's mark: a week of nights is no wall
const WIDEST_WEEK = 30;
const APART = 24; // from one night to the next at most: few stay near each other
const APART_WEEKS = 44;
const NARROW = 170; // of nights that a telephone shows beside the names of the rows

const WATER = ['tap_water', 'water_contact'];
const DROP = 'M0-5c3 4 3.4 5.4 3.4 7a3.4 3.4 0 0 1-6.8 0c0-1.6.4-3 3.4-7z';

/** @param {{sum: Summary}} props */
export function Score({ sum }) {
  if (sum.to < sum.from) return null; // no night is over yet
  const { columns, weekly } = columnsOf(sum.nights, sum.from, sum.to);
  const apart = Math.min(weekly ? APART_WEEKS : APART, (RIGHT - LEFT) / Math.max(1, columns.length));
  const w = weekly ? Math.min(WIDEST_WEEK, 0.75 * apart) : Math.min(WIDEST, apart);
  /** @param {number} i */
  const x = i => LEFT + i * apart;
  const ranked = rankedCare(sum);
  const care = ranked.filter(c => c.share.done + c.share.not_done > 0);
  const never = ranked.filter(c => !care.includes(c));
  const sight = sum.sight.length > 0;
  const sightAt = TOP + HIGH + 10;
  const careAt = sightAt + (sight ? 44 : 0);
  const neverAt = careAt + care.length * ROW;
  const eventsAt = neverAt + (never.length ? ROW : 0) + 11;
  const height = eventsAt + 9;
  const doubt = sum.glance.doubt.level;
  const kinds = sum.nights.map(n =>
    ['worn', 'memory', 'short'].includes(drawnAs(n)) && !spanOf(n) ? '?' : drawnAs(n),
  );
  return h(
    'section',
    { class: 'score block', 'aria-labelledby': 'score-title', 'data-test': 'score' },
    h('h2', { id: 'score-title', class: 'hidden' }, tr('Nights, sight, care and events')),
    h(Figures, { sum, care, never, doubt }),
    x(columns.length) - LEFT > NARROW &&
      h(
        'p',
        { class: 'score-more quiet', 'data-test': 'score-more' },
        tr('The newest nights first; move the picture sideways for those back to {date}.', { date: day(sum.from) }),
      ),
    h(
      'div',
      { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': tr('The period as a picture') },
      h(
        'div',
        { class: 'score-picture', style: { '--nights': `${(x(columns.length) - LEFT) / 16}rem` } },
        h(
          'svg',
          { viewBox: `0 0 ${WIDTH} ${height}`, role: 'img', 'aria-label': said(sum) },
          h(Axis, { columns, x, bottom: eventsAt - 8, weekly, now: upToNow(sum) }),
          weekly ? h(WornWeeks, { sum, columns, x, w }) : h(WornNights, { sum, columns, x, w }),
          h(WornFigures, { sum, doubt }),
          sight && h(SightRow, { sum, columns, x, w, y: sightAt }),
          care.map((c, k) => h(CareStrip, { key: c.item, care: c, columns, x, w, y: careAt + k * ROW, weekly, doubt })),
          never.length > 0 &&
            h(
              'g',
              { class: 's-never' },
              h('text', { x: 0, y: neverAt + 9, class: 's-quiet' }, tr('Never answered')),
              h('text', { x: LEFT, y: neverAt + 9, class: 's-quiet' }, neverWords(never)),
            ),
          h(Events, { sum, columns, x, y: eventsAt }),
        ),
        h(Names, { sum, weekly, height, sight: sight && sightAt, care, careAt, eventsAt }),
      ),
    ),
    h(
      'p',
      { class: 'key score-key' },
      weekly && tr('One bar a week: '),
      h('b', null, tr('filled')),
      tr(' worn or done, '),
      h('b', null, tr('outlined')),
      tr(' from memory; of care, left out, '),
      weekly
        ? tr('✕ missed; the rest not logged; drop: water. ')
        : [
            h('b', null, tr('dotted')),
            tr(' told not to wear, ✕ missed, · not logged; drop: water. '),
            kinds.includes('differ') && tr('≠ differ. '),
            kinds.includes('?') && tr('? time not known. '),
          ],
      tr('◆ alert ▲ symptoms ❙ visit ▫ supply ● lens ⚑ plan.'),
    ),
    h('p', { class: 'hidden' }, tr('The table of nights under “Everything else” lists each of them.')),
  );
}

/**
 * The names of the rows once more, for a screen that the picture is too wide for:
 * they stay while the nights move under them.
 * @param {{sum: Summary, weekly: boolean, height: number, sight: number|false, care: CareRow[], careAt: number, eventsAt: number}} props
 */
function Names({ sum, weekly, height, sight, care, careAt, eventsAt }) {
  /** @type {[number, string][]} */
  const names = [
    [TOP + 12, tr('Lenses in')],
    ...care.map((c, k) => /** @type {[number, string]} */ ([careAt + k * ROW + 9, shortTitle(c)])),
    [eventsAt + 4, tr('Events')],
  ];
  if (sight !== false) names.push([sight + 22, tr('Evening sight')]);
  return h(
    'svg',
    { class: 'score-names', viewBox: `0 0 ${LEFT} ${height}`, 'aria-hidden': 'true' },
    names.map(([y, name]) => h('text', { key: name, x: 0, y }, name)),
    !weekly && h(Clocks, { nights: sum.nights }),
    sight !== false && h(Clear, { y: sight }),
  );
}

/**
 * The figures of the rows as a list, for a screen that the picture is too wide for.
 * @param {{sum: Summary, care: CareRow[], never: CareRow[], doubt: string}} props
 */
function Figures({ sum, care, never, doubt }) {
  /** @type {[string, string[]][]} */
  const rows = [
    [tr('Lenses in'), wornLines(sum, doubt).map(l => l.text)],
    [tr('Evening sight'), sum.sight.length ? sightLines(sum).map(l => l.text) : []],
    ...care.map(c => /** @type {[string, string[]]} */ ([shortTitle(c), [careWords(c, doubt)]])),
    [tr('Never answered'), never.length ? [neverWords(never)] : []],
    [tr('Events'), [eventWords(sum)]],
  ];
  return h(
    'dl',
    { class: 'score-figures', 'data-test': 'score-figures' },
    rows
      .filter(r => r[1].length)
      .map(([name, figures]) =>
        h(
          'div',
          { key: name },
          h('dt', null, name),
          figures.map(f => h('dd', { key: f }, f)),
        ),
      ),
  );
}

/** @typedef {{text: string, y: number, style?: string}} Line of figures, so far below the top of its row */

/** @param {CareRow[]} never */
const neverWords = never => never.map(c => shortTitle(c).toLowerCase()).join(point(', '));

/** @param {CareRow} c @param {string} doubt */
const careWords = (c, doubt) =>
  `${tr('{done} of {n}', { done: c.share.done, n: c.share.done + c.share.not_done })} \u00a0${percent(c.share, doubt)}`;

/** @param {Summary} sum */
function eventWords(sum) {
  const told = gravest(sum).length;
  const said = told ? plural(told, 'alert', 'alerts') : tr('no alert');
  const reports = plural(sum.symptoms.filter(r => !r.follows).length, 'report', 'reports');
  const last = sum.timeline
    .filter(e => ['alert', 'symptom'].includes(e.lane) && e.level !== 'note' && e.date <= sum.today)
    .at(-1)?.date;
  return [`${said}${point(', ')}${reports}`, last && tr('last {date}', { date: dayMonth(last) })]
    .filter(Boolean)
    .join(point('; '));
}

/** @param {Summary} sum */
const gravest = sum => sum.alerts.filter(a => a.level !== 'note');

/** @param {Summary} sum @returns {string} the picture in a sentence */
function said(sum) {
  const c = sum.counts;
  return tr(
    '{date} to {date2}: {done} of {done2} nights worn, {missed} missed, {not_logged} not logged, {stopped} under a stop, {rest} at rest, {memory} written from memory. The table of nights lists each.',
    {
      date: day(sum.from),
      date2: day(sum.to),
      done: sum.wear.done,
      done2: sum.wear.done + sum.wear.not_done,
      missed: c.missed,
      not_logged: c.not_logged,
      stopped: c.stopped,
      rest: c.rest,
      memory: sum.glance.doubt.memory,
    },
  );
}

/** Whether the period runs up to today. @param {Summary} sum */
const upToNow = sum => addDays(sum.to, 1) >= sum.today;

/**
 * The day of the month at each Monday, with the month where it is the first that is
 * named; of weeks the months. A word for which there is no room is left to the next.
 * @param {{columns: Column[], x: (i: number) => number, bottom: number, weekly: boolean, now: boolean}} props
 */
function Axis({ columns, x, bottom, weekly, now }) {
  const end = x(columns.length);
  const today = now ? tr('today') : '';
  let free = 0;
  let month = '';
  const ticks = columns.map((c, i) => {
    const monday = (dayNumber(c.from) + 3) % 7 === 0;
    const first = c.from.slice(0, 7) !== columns[i - 1]?.from.slice(0, 7);
    const named = c.from.slice(0, 7) === month;
    const word = named
      ? weekly
        ? ''
        : String(+c.from.slice(8, 10))
      : weekly && i > 0
        ? monthName(c.from)
        : dayMonth(c.from);
    const after = x(i) + wide(word) + 6;
    const room = (weekly || monday || i === 0) && x(i) >= free && (i === 0 || after < end - wide(today));
    if (room && word) {
      free = after;
      month = c.from.slice(0, 7);
    }
    return h(
      'g',
      { key: c.from },
      (weekly ? first : monday) && h('line', { x1: x(i), x2: x(i), y1: 18, y2: bottom, class: 's-week' }),
      room && word && h('text', { x: x(i), y: 12, class: 's-quiet' }, word),
    );
  });
  return [ticks, today && h('text', { x: Math.max(end, free + wide(today)), y: 12, class: 's-quiet s-end' }, today)];
}

/** About how wide a word of the axis is drawn. @param {string} word */
const wide = word => [...word].reduce((n, c) => n + (c > '\u2e80' ? 12 : 6.6), 0);

/** The hours of the row of time in lenses. @param {NightRow[]} nights */
function clock(nights) {
  const [low, high] = clockRange(nights);
  const ticks = [];
  for (let t = Math.ceil(low / 3) * 3; t <= high; t += 3) ticks.push(t);
  return { low, high, ticks, y: (/** @type {number} */ hour) => TOP + ((hour - low) / (high - low)) * HIGH };
}

/** @param {{nights: NightRow[]}} props */
function Clocks({ nights }) {
  const { ticks, y } = clock(nights);
  return ticks.map(t =>
    h('text', { key: t, x: LEFT - 6, y: y(t) + 4, class: 's-quiet s-end' }, `${String(t % 24).padStart(2, '0')}:00`),
  );
}

/** Where a rating of evening sight, 1 to 5, stands in its row. @param {number} y of the row @param {number} rating */
const sightY = (y, rating) => y + 34 - ((rating - 1) / 4) * 30;

/** @param {{y: number}} props of the row */
const Clear = ({ y }) => [
  h('text', { key: 5, x: LEFT - 6, y: sightY(y, 5) + 4, class: 's-quiet s-end' }, tr('clear')),
  h('text', { key: 1, x: LEFT - 6, y: sightY(y, 1) + 4, class: 's-quiet s-end' }, tr('blurred')),
];

/** @typedef {{sum: Summary, columns: Column[], x: (i: number) => number, w: number}} Strip */

/** @param {Strip} props */
function WornNights({ sum, columns, x, w }) {
  const { low, high, ticks, y } = clock(sum.nights);
  const mid = y((low + high) / 2);
  return h(
    'g',
    null,
    ticks.map(t => h('line', { key: t, x1: LEFT, x2: RIGHT, y1: y(t), y2: y(t), class: 's-line' })),
    h(Clocks, { nights: sum.nights }),
    columns.map((c, i) =>
      c.at.map(k => {
        const n = sum.nights[k];
        return h(
          'g',
          null,
          h('title', null, nightWords(n, sum.pauses)),
          h('rect', { x: x(i), y: TOP, width: w, height: HIGH, class: 's-hit' }),
          night(n, x(i), w, y, mid),
        );
      }),
    ),
  );
}

/** From when to when a lens was in, as hours of the night; null unless both are known. @param {NightRow} n @returns {[number, number]|null} */
function spanOf(n) {
  const [a, b] = [nightHours(n.in), nightHours(n.out)];
  return a !== null && b !== null && b > a ? [a, b] : null;
}

/**
 * @param {NightRow} n
 * @param {number} x
 * @param {number} w
 * @param {(hour: number) => number} y
 * @param {number} mid
 * @returns {ComponentChildren}
 */
function night(n, x, w, y, mid) {
  const c = x + w / 2;
  const kind = drawnAs(n);
  const at = spanOf(n);
  const r = Math.min(3, w / 2 - 0.4);
  if (kind === 'missed')
    return h('path', { d: `M${c - r} ${mid - r}l${2 * r} ${2 * r}m0 ${-2 * r}l${-2 * r} ${2 * r}`, class: 's-cross' });
  if (kind === 'not-logged') return h('circle', { cx: c, cy: mid, r: 1.4, class: 's-dot' });
  if (kind === 'stopped')
    return h('rect', {
      x: x + 0.8,
      y: y(22),
      width: Math.max(1.5, w - 1.6),
      height: y(30) - y(22),
      class: 's-stopped',
    });
  const top = at ? y(at[0]) : mid - 6;
  const bar = h('rect', {
    x: x + 0.8,
    y: top,
    width: Math.max(1.5, w - 1.6),
    height: Math.max(2, at ? y(at[1]) - top : 12),
    rx: 1.2,
    class: kind === 'memory' ? 's-memory' : 's-worn',
  });
  if (kind === 'differ') return [bar, h('text', { x: c, y: TOP + HIGH + 9, class: 's-mid' }, '≠')];
  return at ? bar : [bar, h('text', { x: c, y: mid + 18, class: 's-mid s-quiet' }, '?')];
}

/** @param {Strip} props */
function WornWeeks({ sum, columns, x, w }) {
  return h(
    'g',
    null,
    h('line', { x1: LEFT, x2: RIGHT, y1: TOP + HIGH, y2: TOP + HIGH, class: 's-line' }),
    columns.map((c, i) => {
      const rows = c.at.map(k => sum.nights[k]);
      const of = (/** @type {string[]} */ kinds) => rows.filter(n => kinds.includes(drawnAs(n))).length;
      const [worn, memory, missed] = [of(['worn', 'short', 'differ']), of(['memory']), of(['missed'])];
      const unit = HIGH / 7;
      const title = tr(
        '{date} to {date2}: {worn} worn{more}, {missed} missed, {x} stopped or at rest, {x2} not logged',
        {
          date: day(c.from),
          date2: day(c.to),
          worn: worn + memory,
          more: memory ? tr(', {memory} of them from memory', { memory }) : '',
          missed,
          x: of(['stopped']),
          x2: of(['not-logged']),
        },
      );
      return h(
        'g',
        null,
        h('title', null, title),
        h('rect', { x: x(i), y: TOP, width: w, height: HIGH, class: 's-hit' }),
        worn > 0 &&
          h('rect', {
            x: x(i) + 0.8,
            y: TOP + HIGH - worn * unit,
            width: w - 1.6,
            height: worn * unit,
            class: 's-worn',
          }),
        memory > 0 &&
          h('rect', {
            x: x(i) + 0.8,
            y: TOP + HIGH - (worn + memory) * unit,
            width: w - 1.6,
            height: memory * unit,
            class: 's-memory',
          }),
        Array.from({ length: missed }, (_, k) => {
          const at = TOP + HIGH - (worn + memory + k + 0.5) * unit;
          const r = Math.min(3, w / 2 - 0.4);
          return h('path', {
            d: `M${x(i) + w / 2 - r} ${at - r}l${2 * r} ${2 * r}m0 ${-2 * r}l${-2 * r} ${2 * r}`,
            class: 's-cross',
          });
        }),
      );
    }),
  );
}

/** @param {{sum: Summary, doubt: string}} props */
const WornFigures = ({ sum, doubt }) =>
  h('g', null, h('text', { x: 0, y: TOP + 12 }, tr('Lenses in')), lines(wornLines(sum, doubt), TOP));

/** @param {Line[]} all @param {number} top */
const lines = (all, top) =>
  all.map(l => h('text', { key: l.text, x: FIGURE, y: top + l.y, class: l.style ?? '', ref: fit }, l.text));

/** A figure that is longer than its place, in some language, is set closer. @param {SVGTextElement|null} el */
function fit(el) {
  if (!el || el.getComputedTextLength() <= WIDTH - FIGURE) return;
  el.setAttribute('textLength', String(WIDTH - FIGURE));
  el.setAttribute('lengthAdjust', 'spacingAndGlyphs');
}

/** @param {Summary} sum @param {string} doubt @returns {Line[]} */
function wornLines(sum, doubt) {
  const { wear, hours, glance: g } = sum;
  const n = wear.done + wear.not_done;
  const open = [
    wear.unknown && tr('{unknown} open', { unknown: wear.unknown }),
    wear.rest && tr('{rest} at rest', { rest: wear.rest }),
  ].filter(Boolean);
  const pc = (/** @type {number} */ v) => Math.round(100 * v);
  const stretch = (/** @type {typeof g.last} */ s) =>
    tr('{done} of {done2}{more}', {
      done: s.wear.done,
      done2: s.wear.done + s.wear.not_done,
      more: [
        s.hours && tr('{hours} h', { hours: number(s.hours, 1) }),
        s.wear.unknown && tr('{unknown} open', { unknown: s.wear.unknown }),
      ]
        .filter(Boolean)
        .map(words => `${point(', ')}${words}`)
        .join(''),
    });
  /** @type {Line[]} */
  const out = [
    { y: 4, style: 's-bold', text: n ? tr('{done} of {n} nights worn', { done: wear.done, n }) : tr('nothing logged') },
  ];
  if (n)
    out.push({
      y: 20,
      text: `${percent(wear, doubt)}${open.length ? tr('; {bound_low} to {bound_high} %{more} {list}', { bound_low: pc(wear.bound_low), bound_high: pc(wear.bound_high), more: open.length > 1 ? ':' : tr(' with'), list: open.join(point(', ')) }) : ''}`,
    });
  if (hours.n)
    out.push({
      y: 38,
      style: 's-bold',
      text: tr('{median} h, half {low} to {high}', {
        median: number(hours.median, 1),
        low: number(hours.low, 1),
        high: number(hours.high, 1),
      }),
    });
  if (g.last.nights) out.push({ y: 58, text: tr('last 14 nights: {last}', { last: stretch(g.last) }) });
  if (g.before.nights) out.push({ y: 73, text: tr('14 before: {before}', { before: stretch(g.before) }) });
  return out;
}

/** @param {Summary} sum @returns {Line[]} */
const sightLines = sum => {
  const { clear, n } = clearOf(sum, sum.from, sum.to);
  const [last, before] = [
    clearOf(sum, addDays(sum.to, -13), sum.to),
    clearOf(sum, addDays(sum.to, -27), addDays(sum.to, -14)),
  ];
  const figures = { last: last.clear, n: last.n, before: before.clear, m: before.n };
  return [
    { y: 16, style: 's-bold', text: tr('clear (4 or 5) on {clear} of {n} evenings', { clear, n }) },
    {
      y: 31,
      style: last.n && before.n && last.clear / last.n < before.clear / before.n ? 's-bold' : '',
      text: last.n && before.n ? tr('last 14: {last} of {n}; 14 before: {before} of {m}', figures) : tr('as reported'),
    },
  ];
};

/** Evenings reported as clear, of those reported. @param {Summary} sum @param {string} from @param {string} to both included */
function clearOf(sum, from, to) {
  const rows = sum.sight.filter(s => s.night >= from && s.night <= to);
  return { clear: rows.filter(s => s.rating >= 4).length, n: rows.length };
}

/** @param {Strip & {y: number}} props */
function SightRow({ sum, columns, x, w, y }) {
  const by = new Map(
    columns.flatMap((c, i) => c.at.map(k => /** @type {[string, number]} */ ([sum.nights[k].night, x(i) + w / 2]))),
  );
  const at = (/** @type {number} */ r) => sightY(y, r);
  return h(
    'g',
    null,
    h('text', { x: 0, y: y + 22 }, tr('Evening sight')),
    [1, 3, 5].map(r => h('line', { x1: LEFT, x2: RIGHT, y1: at(r), y2: at(r), class: 's-line' })),
    h(Clear, { y }),
    sum.sight.map(
      s =>
        by.has(s.night) &&
        h(
          'circle',
          {
            cx: by.get(s.night),
            cy: at(s.rating),
            r: Math.min(2.4, Math.max(1.4, w / 2.4)),
            class: s.rating < 4 ? 's-low' : 's-worn',
          },
          h('title', null, tr('{date}: {rating} of 5', { date: day(s.night), rating: s.rating })),
        ),
    ),
    lines(sightLines(sum), y),
  );
}

/** What is said in fewer words than its title. @type {Record<string, string>} */
const SHORT = {
  rub: tr('Lenses rubbed'),
  rinse: tr('Rinsed with solution'),
  water_contact: tr('No shower or swim'),
  tap_water: tr('No tap water'),
  topping_off: tr('No topping up'),
  case_dried: tr('Case dried upside down'),
};

/** What a row of 150 px holds. @param {CareRow} c */
const shortTitle = c => SHORT[c.item] ?? c.title;

/** @param {{care: CareRow, columns: Column[], x: (i: number) => number, w: number, y: number, weekly: boolean, doubt: string}} props */
function CareStrip({ care: c, columns, x, w, y, weekly, doubt }) {
  const n = c.share.done + c.share.not_done;
  const water = WATER.includes(c.item);
  return h(
    'g',
    null,
    h('text', { x: 0, y: y + 9, class: '' }, shortTitle(c)),
    h(
      'text',
      { x: FIGURE, y: y + 9, class: c.share.not_done > 0 ? 's-bold' : '' },
      tr('{done} of {n}', { done: c.share.done, n }),
      language().rtl // in one run: a part of its own would be set over the words
        ? ` \u00a0${percent(c.share, doubt)}`
        : h('tspan', { class: 's-quiet', dx: 6 }, percent(c.share, doubt)),
    ),
    columns.map((col, i) => {
      const marks = col.at.map(k => c.marks[k]);
      const [done, not, open] = ['d', 'n', 'u'].map(m => marks.filter(k => k === m).length);
      const mid = x(i) + w / 2;
      if (!done && !not) return open > 0 && n > 0 && h('circle', { cx: mid, cy: y + 5, r: 1.1, class: 's-dot' });
      if (not && water)
        return h('path', {
          d: DROP,
          transform: `translate(${mid} ${y + 5}) scale(${Math.min(1, w / 7)})`,
          class: 's-water',
        });
      const part = weekly ? done / (done + not) : done ? 1 : 0;
      return [
        part < 1 &&
          h('rect', { x: x(i) + 1.2, y: y + 1.5, width: Math.max(1, w - 2.4), height: 7, rx: 1, class: 's-hollow' }),
        part > 0 &&
          h('rect', {
            x: x(i) + 1,
            y: y + 1 + 8 * (1 - part),
            width: Math.max(1.2, w - 2),
            height: 8 * part,
            rx: 1,
            class: 's-worn',
          }),
      ];
    }),
  );
}

const BESIDE = 13; // from one mark of today to the next

const MARKS = /** @type {Record<string, string>} */ ({
  symptom: 'M0-5L5 4H-5Z',
  alert: 'M0-6L6 0L0 6L-6 0Z',
  supply: 'M-3-3H3V3H-3Z',
  lens: 'M-4 0A4 4 0 1 0 4 0A4 4 0 1 0-4 0',
  visit: 'M-1.5-7H1.5V7H-1.5Z',
  plan: 'M-3-5H4V5L.5 2L-3 5Z',
  pause: 'M-4-5H-1V5H-4ZM1-5H4V5H1Z',
});

/** @param {{sum: Summary, columns: Column[], x: (i: number) => number, y: number}} props */
function Events({ sum, columns, x, y }) {
  const first = dayNumber(sum.from);
  const days = dayNumber(sum.to) - first + 1;
  /** @param {string} date */
  const at = date => x(0) + (Math.min(days, dayNumber(date) - first + 0.5) / days) * (x(columns.length) - x(0));
  // What came today stands past the last night, side by side, where the period runs up to now.
  const more = sum.symptoms.filter(r => r.follows).map(r => r.entry); // the rest of the report before
  const timeline = sum.timeline.filter(e => e.lane !== 'symptom' || !more.includes(/** @type {string} */ (e.ref)));
  const late = upToNow(sum) ? timeline.filter(e => e.date > sum.to && e.date <= sum.today && MARKS[e.lane]) : [];
  const shown = [...timeline.filter(e => e.date <= sum.to && MARKS[e.lane]), ...late];
  /** @param {typeof shown[number]} e */
  const place = e => at(e.date) - (late.includes(e) ? (late.length - 1 - late.indexOf(e)) * BESIDE : 0);
  return h(
    'g',
    null,
    h('text', { x: 0, y: y + 4 }, tr('Events')),
    h('line', { x1: LEFT, x2: RIGHT, y1: y, y2: y, class: 's-line' }),
    shown.map(e =>
      h(
        'path',
        {
          d: MARKS[e.lane],
          transform: `translate(${place(e).toFixed(1)} ${y})`,
          class: `s-event s-${e.lane} ${e.level ?? ''}`,
        },
        h('title', null, `${day(e.date)}${point(': ')}${e.text}`),
      ),
    ),
    h('text', { x: FIGURE, y: y + 4, class: gravest(sum).length ? 's-bold' : '' }, eventWords(sum)),
  );
}
