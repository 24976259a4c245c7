// What was measured and graded, visit beside visit, with what changed.

import { h } from '../dom.js';
import { pick } from '../forms.js';
import { day, title } from '../format.js';
import { acuityWords, quantity, quantityWords, VISIT_FIELDS } from '../quantities.js';
import { BEFORE, GRADES } from './visit-form.js';
import { point, tr } from '../text.js';

/** @import { Visit } from '../types.js' */

const MOST = 5; // visits beside one another: more fit no screen

const PARTS = /** @type {Record<string, string>} */ ({
  sphere: tr('Sphere'),
  cylinder: tr('Cylinder'),
  axis: tr('Axis'),
});

const ROWS = [
  ...['refraction', 'residual'].flatMap(part =>
    ['sphere', 'cylinder', 'axis'].map(
      k =>
        /** @type {[string, string]} */ ([
          `${part}.${k}`,
          `${part === 'residual' ? tr('Over the treated eye') : tr('Refraction')}${point(', ')}${PARTS[k].toLowerCase()}`,
        ]),
    ),
  ),
  ...BEFORE,
  ...GRADES,
];

/**
 * One finding of one eye over the visits.
 * @typedef {{label: string, eye: string, path: string, cells: (number|null)[], change: number|null}} Row
 */

/**
 * The rows that any of the newest visits has, right before left. Change is the
 * newest value less the one before it that was measured; of an axis there is none,
 * since 179 and 1 lie beside each other.
 * @param {Visit[]} visits newest first
 * @returns {{shown: Visit[], rows: Row[]}} shown oldest first, as columns are read
 */
export function overVisits(visits) {
  const kept = visits.filter(v => v.state === 'kept');
  // the first of all stays: it is what every change is read against
  const shown = (kept.length > MOST ? [...kept.slice(0, MOST - 1), kept[kept.length - 1]] : kept).reverse();
  const rows = ROWS.flatMap(([path, label]) =>
    ['right', 'left'].map(eye => {
      const cells = shown.map(v => {
        const n = pick(v, `${eye}.${path}`);
        return typeof n === 'number' ? n : null;
      });
      const known = /** @type {number[]} */ (cells.filter(n => n !== null));
      const [a, b] = known.slice(-2);
      const change = known.length < 2 || path.endsWith('axis') ? null : b - a;
      return { label, eye, path, cells, change };
    }),
  ).filter(r => r.cells.some(n => n !== null));
  return { shown, rows };
}

/** @param {{visits: Visit[]}} props */
export function OverVisits({ visits }) {
  const { shown, rows } = overVisits(visits);
  if (shown.length < 2 || !rows.length) return null;
  /** @param {Row} r @param {number|null} n @param {Visit} v */
  const words = (r, n, v) => {
    const as = /** @type {string|undefined} */ (pick(v, `${r.eye}.${r.path}_as`));
    if (n === null) return '';
    return as ? acuityWords(as, n) : quantityWords(n, quantity(VISIT_FIELDS[r.path]));
  };
  return h(
    'section',
    { class: 'block', 'data-test': 'over-visits' },
    h('h2', null, tr('Findings over the visits')),
    h(
      'div',
      { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': tr('Findings over the visits') },
      h(
        'table',
        { class: 'list stack over-visits' },
        h(
          'thead',
          null,
          h(
            'tr',
            null,
            h('th', { scope: 'col' }, tr('Finding')),
            h('th', { scope: 'col' }, tr('Eye')),
            shown.map(v =>
              h('th', { scope: 'col', key: v.id }, day(v.date), ' ', h('span', { class: 'hint' }, title(v.kind))),
            ),
            h('th', { scope: 'col' }, tr('Difference')),
          ),
        ),
        h(
          'tbody',
          null,
          rows.map(r =>
            h(
              'tr',
              { key: r.eye + r.path },
              h('th', { scope: 'row' }, r.label),
              h('td', null, title(r.eye)),
              r.cells.map((n, i) => h('td', { 'data-is': day(shown[i].date) }, words(r, n, shown[i]))),
              h('td', { 'data-is': tr('Difference') }, changed(r)),
            ),
          ),
        ),
      ),
    ),
    scales(shown) && h('p', { class: 'field-error' }, scales(shown)),
  );
}

/** @param {Row} r */
function changed({ change, path }) {
  if (change === null) return '';
  const { digits = 2, halves, unit = '' } = quantity(VISIT_FIELDS[path]);
  const n = Math.abs(change).toFixed(halves && change % 1 ? 1 : digits);
  if (Number(n) === 0) return 'none';
  return `${change > 0 ? '+' : '−'}${n}${unit ? ` ${unit}` : ''}`;
}

/** Grades on two scales are not held against each other. @param {Visit[]} shown */
function scales(shown) {
  const named = new Set(shown.map(v => v.scale).filter(Boolean));
  return named.size > 1
    ? tr('Graded on different scales: {list}. Grades of one are none of another.', {
        list: [...named].join(point('; ')),
      })
    : '';
}
