// One wearer before the recall: one page, two sheets of paper.

import * as api from '../api.js';
import { acuityChart, bedtimeChart, growthChart, hoursChart, sightChart } from '../charts.js';
import { DataTable, h, Trouble, useLoad, useState } from '../dom.js';
import { addDays, day, dioptres, number, plural, readable, share, title } from '../format.js';
import { CHANGES_ON_PAPER, evidenceOnPaper, pointsOnPaper, roomOnPaper } from '../paper.js';
import { link } from '../route.js';
import { Care } from './care.js';
import { Download } from './download.js';
import { Nights } from './nights.js';
import { chartLibrary, Key, Plot } from './plot.js';
import { Timeline } from './timeline.js';

/** @import { Me } from '../api.js' */
/** @import { Library } from '../charts.js' */
/** @import { Route } from '../route.js' */
/** @import { EffectRow, GrowthRow, Summary } from '../types.js' */

/** @param {{me: Me, route: Route}} props */
export function Wearer({ me, route }) {
  const { from = '', to = '' } = route.params;
  const got = useLoad(async () => {
    const charts = chartLibrary().catch(() => undefined); // without it there are still the tables
    const summary = await api.review(route.arg, from, to);
    await charts; // nothing to read, or to print, before its charts can be drawn
    return summary;
  }, `${route.arg}/${from}/${to}`);
  const sum = got.data;
  return h('div', { class: 'review', 'data-test': 'review' },
    h(Trouble, { error: got.error, busy: got.busy && !sum, retry: got.reload }),
    got.busy && h('p', { class: 'only-print' }, 'Printed before the review was ready. Print it again once it stands on the screen.'),
    sum && h(Head, { sum, me, busy: got.busy }),
    sum && h(Range, { sum, wearer: route.arg }),
    sum && h(Body, { sum, zone: me.practice.zone, key: `${sum.from}${sum.to}` }));
}

/** @param {{sum: Summary, me: Me, busy: boolean}} props busy: another range is on its way */
function Head({ sum, me, busy }) {
  const w = sum.wearer;
  const first = sum.plan?.first_night;
  const rest = sum.pauses.find((p) => p.from <= sum.today && p.to >= sum.today);
  const next = sum.pauses.find((p) => p.from > sum.today);
  return h('header', { class: 'review-head' },
    h('div', null,
      h('h1', null, w.name, ' ', h('span', { class: 'code' }, w.code)),
      h('p', { class: 'facts' }, [
        sum.age ? `${Math.floor(sum.age)} years` : 'age not known',
        first ? `first night ${day(first)}` : 'not started',
        sum.last_visit ? `last visit ${day(sum.last_visit.date)}, ${title(sum.last_visit.kind).toLowerCase()}` : 'no visit yet',
        sum.next_visit ? `next ${day(sum.next_visit.date)}` : 'none booked',
        ...(!rest && next ? [`${next.agreed ? 'no lenses, as agreed,' : 'reminders paused'} from ${day(next.from)} to ${day(next.to)}`] : []),
        ...(rest ? [`${rest.agreed ? 'no lenses, as agreed,' : 'reminders paused'} until ${day(rest.to)}`] : []),
      ].join(' · ')),
      h('p', { class: 'only-print quiet' }, `${me.practice.name}, printed ${day(sum.today)}. For the practitioner. Self-reported at home; not an examination.`)),
    h('nav', { class: 'buttons no-print', 'aria-label': 'This wearer' },
      h('a', { class: 'button', href: link('visits', w.id) }, 'Visits'),
      h('a', { class: 'button', href: link('plan', w.id) }, 'Plan and lenses'),
      h('a', { class: 'button', href: link('family', w.family) }, 'Family'),
      h(Download, { url: api.fhirUrl(w.id), file: `${w.code}.fhir.json`, label: 'File as FHIR' }),
      h('button', { type: 'button', disabled: busy, onClick: () => print() }, 'Print')));
}

/** @param {{sum: Summary, wearer: string}} props */
function Range({ sum, wearer }) {
  const [from, setFrom] = useState(sum.from);
  const [to, setTo] = useState(sum.to);
  /** @param {string} a @param {string} b */
  const go = (a, b) => { location.hash = link('wearer', wearer, { from: a, to: b }); };
  const back = (/** @type {number} */ n) => go(addDays(sum.today, -n), '');
  return h('form', { class: 'range no-print', onSubmit: (/** @type {globalThis.Event} */ e) => { e.preventDefault(); go(from, to); } },
    h('label', null, 'From', h('input', { type: 'date', value: from, max: sum.today, onInput: (/** @type {globalThis.Event} */ e) => setFrom(/** @type {HTMLInputElement} */ (e.target).value) })),
    h('label', null, 'to', h('input', { type: 'date', value: to, max: sum.today, onInput: (/** @type {globalThis.Event} */ e) => setTo(/** @type {HTMLInputElement} */ (e.target).value) })),
    h('button', null, 'Show'),
    h('button', { type: 'button', onClick: () => go('', '') }, 'Since the last visit'),
    [30, 90, 365].map((n) => h('button', { type: 'button', onClick: () => back(n) }, n === 365 ? '1 year' : `${n} nights`)));
}

/** @param {{sum: Summary, zone: string}} props */
function Body({ sum, zone }) {
  const { first, second } = roomOnPaper(sum);
  return h('div', null,
    h('div', { class: `sheets ${first}` },
      h(Points, { sum }),
      h(Figures, { sum }),
      h(Nights, { sum }),
      h(Hours, { sum }),
      h(Care, { sum })),
    h('div', { class: `sheets-rest ${second}` }, // no part of the grid, whose rows leave space behind where paper parts them
      h(Sight, { sum }),
      h(Timeline, { sum, zone }),
      h(Growth, { sum }),
      h(Trust, { sum })));
}

/** @param {{sum: Summary}} props */
function Points({ sum }) {
  const paper = pointsOnPaper(sum.points);
  const more = paper.filter((on) => !on).length;
  return h('section', { class: 'block points', 'aria-labelledby': 'points-title', 'data-test': 'points' },
    h('h2', { id: 'points-title' }, 'Points to raise'),
    sum.points.length
      ? h('ol', null, sum.points.map((p, i) => h('li', { key: p.rule, class: paper[i] ? '' : 'no-print', 'data-rule': p.rule }, h('p', null, p.text), h('p', { class: 'evidence' }, h('span', { class: 'no-print' }, readable(p.evidence)), h('span', { class: 'only-print' }, readable(evidenceOnPaper(p)))),
        h('details', { class: 'no-print' }, h('summary', null, 'Why this is raised'), h('p', null, `Rule ${p.rule}. Basis: ${p.basis}.`)))))
      : h('p', null, 'No rule raised a point. That says what was logged, not how the eyes are.'),
    more > 0 && h('p', { class: 'only-print quiet' }, `And ${more} more on screen.`),
    sum.changes.length > 0 && h('div', { class: 'changes' }, h('h3', null, 'Changed since the stretch before'),
      h('ul', null, sum.changes.map((c, i) => h('li', { class: i < CHANGES_ON_PAPER ? '' : 'no-print' }, c.text, h('span', { class: 'quiet' }, ` (${c.before} → ${c.now})`)))),
      sum.changes.length > CHANGES_ON_PAPER && h('p', { class: 'only-print quiet' }, `And ${sum.changes.length - CHANGES_ON_PAPER} more on screen.`)),
    sum.cannot_tell.length > 0 && h('div', { class: 'cannot' }, h('h3', null, 'What the log cannot tell'), h('ul', null, sum.cannot_tell.map((t) => h('li', null, readable(t))))));
}

/** @param {{sum: Summary}} props */
function Figures({ sum }) {
  const c = sum.counts;
  const cells = /** @type {[string, string, string][]} */ ([
    ['Nights with lenses', share(sum.wear), c.not_logged ? `between ${pc(sum.wear.bound_low)} and ${pc(sum.wear.bound_high)} whatever the unknown were` : `${day(sum.from)} to ${day(sum.to)}`],
    ['Hours, middle', sum.hours.n ? `${number(sum.hours.median, 1)} h` : '–', sum.hours.n ? `half between ${number(sum.hours.low, 1)} and ${number(sum.hours.high, 1)} h, ${plural(sum.hours.n, 'night', 'nights')}` : 'no times logged'],
    ['Bedtime', sum.bedtime.mean || '–', sum.bedtime.n ? `± ${Math.round(sum.bedtime.sd_minutes)} min` : 'no times logged'],
    ['Every care item', share(sum.all_care), sum.all_care.unknown ? `nights with all items done; between ${pc(sum.all_care.bound_low)} and ${pc(sum.all_care.bound_high)}` : 'nights with all items done'],
  ]);
  return h('dl', { class: 'figures-row' }, cells.map(([name, value, note]) => h('div', null, h('dt', null, name), h('dd', null, value), h('dd', { class: 'quiet' }, note))));
}

/** @param {number} x */
const pc = (x) => `${Math.round(100 * x)} %`;

/** @param {{sum: Summary}} props */
function Hours({ sum }) {
  if (!sum.hours.n && !sum.bedtime.n) return null;
  const key = `${sum.from}${sum.to}`;
  return h('section', { class: 'block hours', 'aria-labelledby': 'hours-title' },
    h('h2', { id: 'hours-title' }, 'Hours and bedtime'),
    h('div', { class: 'pair' },
      h('div', null, h('h3', null, 'Hours in lenses'),
        h(Plot, { resetKey: key, chart: (/** @type {Library} */ lib) => hoursChart(sum, lib), label: `Hours in lenses each night; middle ${number(sum.hours.median, 1)} hours of ${sum.hours.n} nights. The table of nights lists them.` }),
        h(Key, { items: [['bar', 'at least the planned hours'], ['hollow', 'short'], ['least', 'planned hours'], ['', '✕ missed'], ['', '· not logged'], ['', '? hours not known']] })),
      h('div', null, h('h3', null, 'From insertion to removal'),
        h(Plot, { resetKey: key, chart: () => bedtimeChart(sum), label: `Insertion and removal by the clock; bedtime ${sum.bedtime.mean}. The table of nights lists them.` }),
        h(Key, { items: [['in', 'in'], ['out', 'out']] }))),
    h(DataTable, { caption: 'Evenings of the week', head: ['Evening', 'Nights with lenses'], rows: sum.weekdays.map((w) => [title(w.day), share(w.wear)]) }));
}

/** @type {[string, string][]} */
const EYES = [['right', 'right'], ['left', 'left']];

/** @param {{sum: Summary}} props */
function Sight({ sum }) {
  const key = `${sum.from}${sum.to}`;
  const scored = sum.acuity.filter((a) => a.logmar !== null);
  return h('section', { class: 'block', 'aria-labelledby': 'sight-title' },
    h('h2', { id: 'sight-title' }, 'Evening sight and acuity'),
    h('div', { class: scored.length ? 'pair' : '' }, // nothing beside it: the whole width
      h('div', null, h('h3', null, 'Evening sight, as reported'),
        sum.sight.length ? h(Plot, { resetKey: key, chart: () => sightChart(sum), label: `Evening sight, ${plural(sum.sight.length, 'report', 'reports')}; the table below lists them.` }) : h('p', { class: 'quiet' }, 'No evening report in this range.'),
        sum.sight.length > 0 && h(Key, { items: [['report', 'one evening; 5 is as clear as in the morning'], ['middle', 'middle of seven evenings'], ['hours', 'hours since removal']] }, 'A report, not a measurement.'),
        sum.sight.length > 0 && h(DataTable, { caption: 'Evening sight', head: ['Evening', 'Sight, of 5', 'Hours since removal', 'Halos', 'Spectacles'],
          rows: sum.sight.map((s) => [s.night, s.rating, number(s.hours, 1), s.halos ?? '–', s.spectacles === null ? '–' : s.spectacles ? 'yes' : 'no']) })),
      h('div', null, sum.acuity.length > 0 && h('h3', null, 'Unaided acuity at home'),
        scored.length ? h(Plot, { resetKey: key, chart: () => acuityChart(sum), label: `Unaided acuity of each eye at home, ${plural(scored.length, 'run', 'runs')}; the table below lists them.` }) : h('p', { class: 'quiet' }, sum.acuity.length ? 'No run of this range could be scored.' : 'No acuity run at home in this range.'),
        scored.length > 0 && h(Key, { items: EYES }, 'logMAR, better above. Scored again here from the raw answers.'),
        sum.acuity.length > 0 && h(DataTable, { caption: 'Acuity runs', head: ['Evening', 'Eye', 'logMAR', '± SD', 'At', 'Reliable', 'Note'],
          rows: sum.acuity.map((a) => [a.night, a.eye, number(a.logmar, 2), number(a.sd, 2), `${number(a.distance_m, 1)} m`, a.reliable ? 'yes' : 'no', a.note ?? '']) }))),
    sum.effect.length > 0 && h('table', { class: 'effect' }, h('caption', null, 'Expected course, from hours in lenses and awake. A model of a mean course, not a measurement.'),
      h('thead', null, h('tr', null, ['Eye', 'Before treatment', 'Course', 'Clear hours expected', 'Rest on the last evening'].map((t) => h('th', { scope: 'col' }, t)))),
      h('tbody', null, sum.effect.map((e) => {
        const last = e.residual?.[e.residual.length - 1];
        return h('tr', null, h('th', { scope: 'row' }, title(e.eye)), h('td', null, `${dioptres(e.baseline_d)} D`), h('td', null, title(e.status), h('span', { class: 'quiet' }, `: ${e.why}`)), h('td', null, clear(e)),
          h('td', null, last ? `${dioptres(last.d)} D (${dioptres(last.low)} to ${dioptres(last.high)})` : '–'));
      }))));
}

/** The model looks one day ahead, so 24 hours means the whole of it. @param {EffectRow} e */
function clear(e) {
  if (e.clear_hours === null) return '–';
  const hours = (/** @type {number|null} */ n) => (n !== null && n >= 24 ? 'all day' : `${number(n, 0)} h`);
  if (e.clear_low !== null && e.clear_low >= 24) return 'all day';
  return `${hours(e.clear_hours)} (${hours(e.clear_low)} to ${hours(e.clear_high)})`;
}

/** @param {{sum: Summary}} props */
function Growth({ sum }) {
  if (!sum.growth.length) return h('section', { class: 'block' }, h('h2', null, 'Growth'), h('p', { class: 'quiet' }, 'No two axial lengths to compare yet.'));
  const beside = sum.growth[0].beside;
  return h('section', { class: 'block growth', 'aria-labelledby': 'growth-title' },
    h('h2', { id: 'growth-title' }, 'Growth'),
    h('div', { class: 'pair' },
      h('div', null, h(Plot, { resetKey: `${sum.wearer.id}`, chart: () => growthChart(sum.growth), label: 'Axial length of each eye over time; the table below lists it.' }),
        h(Key, { items: EYES }, 'Axial length, mm.'),
        h(DataTable, { caption: 'Axial length', head: ['Date', 'Eye', 'mm', 'Instrument', 'Note'], rows: sum.growth.flatMap((g) => g.readings.map((r) => [r.date, g.eye, number(r.mm, 2), r.instrument, r.note ?? ''])) })),
      h('div', null, h('table', null, h('thead', null, h('tr', null, ['Eye', 'mm a year', 'Class', 'Length, percentile'].map((t) => h('th', { scope: 'col' }, t)))),
        h('tbody', null, sum.growth.map((g) => h('tr', null, h('th', { scope: 'row' }, title(g.eye)), h('td', null, rate(g)), h('td', null, g.class ? title(g.class) : ''), h('td', null, g.percentile === null ? '–' : `P${g.percentile}`))))),
        sum.growth[0].percentile_of && h('p', { class: 'key' }, `Percentile among ${sum.growth[0].percentile_of}.`))),
    beside.length > 0 && h('table', { class: 'beside' }, h('caption', null, 'Published rates for this age, a year; none is a target'), h('tbody', null, beside.map((b) =>
      h('tr', null, h('th', { scope: 'row' }, title(b.name)), h('td', null, `${number(b.mm_per_year, 2)} mm`), h('td', { class: 'quiet' }, `${b.relation}; ${b.population}. ${b.source}`))))));
}

/** @param {GrowthRow} g */
function rate(g) {
  if (g.mm_per_year === null) return h('span', { class: 'quiet' }, g.why ?? '–');
  return `${number(g.mm_per_year, 2)} (${number(g.low, 2)} to ${number(g.high, 2)})`;
}

/** @param {{sum: Summary}} props */
function Trust({ sum }) {
  const t = sum.trust;
  return h('section', { class: 'block trust', 'aria-labelledby': 'trust-title' },
    h('h2', { id: 'trust-title' }, 'How far to trust this log'),
    h('ul', null, t.words.map((w) => h('li', null, readable(w)))),
    h('p', { class: 'quiet' }, `${plural(t.entries, 'entry', 'entries')}, ${plural(t.corrections, 'correction', 'corrections')}, ${plural(t.retractions, 'withdrawal', 'withdrawals')}. Middle delay from the end of a night to its first entry here: ${number(t.late_median_hours, 1)} h.`),
    sum.notes.length > 0 && h('details', null, h('summary', null, `Notes from the family, ${sum.notes.length}`), h('ul', null, sum.notes.map((n) => h('li', null, h('b', null, day(n.night)), ` ${n.by ? `${n.by}: ` : ''}${n.text}`)))));
}
