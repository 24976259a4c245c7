// The charts of the review, drawn by the kept library uPlot, which is fetched
// when the first chart is. What a chart shows is worked out here, apart from
// the drawing, and every chart has its table beside it.

import { day, dayNumber, weekdayDate, number } from './format.js';

/** @import { Summary, NightRow, GrowthRow } from './types.js' */
/** @import uPlot from '../vendor/uplot.js' */

/** @typedef {typeof uPlot} Library the chart library */

const DAY_S = 86400;

/** @param {string} date @returns {number} seconds since 1970 */
export const seconds = (date) => dayNumber(date) * DAY_S;

/** @param {number} s @returns {string} */
export const dateLabel = (s) => weekdayDate(new Date(s * 1000).toISOString().slice(0, 10));

/**
 * Hours after noon of a clock time, so that an evening and the morning after
 * it follow one another: 22:00 is 10, 07:00 is 19.
 * @param {string|undefined} clock HH:MM
 * @returns {number|null}
 */
export function afterNoon(clock) {
  const m = /^(\d\d):(\d\d)$/.exec(clock ?? '');
  return m ? ((+m[1] + 12) % 24) + +m[2] / 60 : null;
}

/** @param {number} h hours after noon @returns {string} HH:MM */
export function clockOf(h) {
  const minutes = Math.round(((h + 12) % 24) * 60) % 1440;
  return `${String(Math.floor(minutes / 60)).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`;
}

/**
 * @typedef {object} Colours
 * @property {string} ink
 * @property {string} quiet
 * @property {string} line
 * @property {string} right
 * @property {string} left
 * @property {string} fill
 * @property {string} warn
 */

/**
 * @typedef {object} Chart
 * @property {string} name what the chart shows, for the reader
 * @property {(colours: Colours, width: number, height: number) => {opts: uPlot.Options, data: uPlot.AlignedData}} make options and data for uPlot
 */

/**
 * @param {Colours} c
 * @param {number} width
 * @param {number} height
 */
function frame(c, width, height) {
  const axis = { stroke: c.quiet, grid: { stroke: c.line, width: 1 }, ticks: { stroke: c.line, size: 4 }, font: '12px system-ui' };
  return {
    base: {
      width, height,
      tzDate: (/** @type {number} */ ts) => new Date(new Date(ts * 1000).toISOString().slice(0, 19)), // dates of evenings, in no zone
      legend: { live: true },
      cursor: { points: { size: 6 }, drag: { x: false, y: false } },
    },
    axis,
    x: { label: 'Date', value: (/** @type {uPlot} */ _u, /** @type {number|null} */ v) => (v === null ? '–' : `${dateLabel(v)} ${new Date(v * 1000).getUTCFullYear()}`) },
    time: { time: true, range: /** @type {uPlot.Range.Function} */ ((_u, min, max) => [min - DAY_S / 2, max + DAY_S / 2]) }, // the first and the last bar whole
    xAxis: { ...axis, values: (/** @type {uPlot} */ _u, /** @type {number[]} */ list) => dateTicks(list), space: 64, size: 24 },
  };
}

/** Seconds of ticks so far apart that a day and a month could be of either of two years. */
const YEAR_S = 330 * DAY_S;

/**
 * @param {number[]} list seconds since 1970, in order
 * @returns {string[]} their dates, such as "1 Mar", each once; "Mar 2026" when they span years
 */
export function dateTicks(list) {
  const years = list.length > 1 && list[list.length - 1] - list[0] >= YEAR_S;
  return list.map((s) => (years ? day(new Date(s * 1000).toISOString()).replace(/^\d+ /, '') : dateLabel(s).slice(4)))
    .map((label, i, all) => (label === all[i - 1] ? '' : label));
}

/**
 * Marks drawn on the base line, so that a night without a bar says why.
 * @param {NightRow[]} nights
 * @param {Colours} c
 */
function baseMarks(nights, c) {
  return (/** @type {uPlot} */ u) => {
    const { ctx } = u;
    ctx.save();
    ctx.textAlign = 'center';
    ctx.textBaseline = 'bottom';
    ctx.font = `${11 * devicePixelRatio}px system-ui`;
    const close = u.bbox.width / Math.max(1, nights.length) < 4 * devicePixelRatio; // dots would run into a line
    for (const n of nights) {
      if (n.hours !== null) continue;
      const mark = n.counted === 'missed' ? '✕' : n.status === 'not-logged' ? '·' : '?';
      if (close && mark === '·') continue;
      ctx.fillStyle = mark === '·' ? c.quiet : c.ink;
      ctx.fillText(mark, u.valToPos(seconds(n.night), 'x', true), u.bbox.top + u.bbox.height);
    }
    ctx.restore();
  };
}

/**
 * @param {number} y value on the scale
 * @param {string} colour
 */
function dashed(y, colour) {
  return (/** @type {uPlot} */ u) => {
    const { ctx } = u;
    const at = u.valToPos(y, 'y', true);
    ctx.save();
    ctx.strokeStyle = colour;
    ctx.lineWidth = devicePixelRatio;
    ctx.setLineDash([6 * devicePixelRatio, 4 * devicePixelRatio]);
    ctx.beginPath();
    ctx.moveTo(u.bbox.left, at);
    ctx.lineTo(u.bbox.left + u.bbox.width, at);
    ctx.stroke();
    ctx.restore();
  };
}

/**
 * Hours in lenses, one bar a night; short nights are drawn hollow.
 * @param {Summary} sum
 * @param {Library} UPlot
 * @returns {Chart}
 */
export function hoursChart(sum, UPlot) {
  const nights = sum.nights;
  const min = nights.length ? nights[nights.length - 1].min_hours : 6;
  return {
    name: 'Hours in lenses each night',
    make(c, width, height) {
      const f = frame(c, width, height);
      const bars = UPlot.paths.bars?.({ size: [0.7, 14] });
      const value = (/** @type {uPlot} */ _u, /** @type {number|null} */ v) => (v === null ? '–' : `${number(v, 1)} h`);
      return {
        opts: {
          ...f.base, axes: [f.xAxis, { ...f.axis, size: 44, values: (/** @type {uPlot} */ _u, /** @type {number[]} */ v) => v.map((x) => `${x} h`) }],
          scales: { x: f.time, y: { range: [0, Math.max(12, sum.hours.max)] } },
          series: [f.x,
            { label: 'Full', paths: bars, fill: c.fill, stroke: c.fill, points: { show: false }, value },
            { label: 'Short', paths: bars, fill: 'transparent', stroke: c.warn, width: 1.5, points: { show: false }, value }],
          hooks: { draw: [dashed(min, c.ink), baseMarks(nights, c)] },
        },
        data: [nights.map((n) => seconds(n.night)),
          nights.map((n) => (n.counted === 'worn' ? n.hours : null)),
          nights.map((n) => (n.counted === 'short' ? n.hours : null))],
      };
    },
  };
}

/** Height of a label and the space around it, in CSS pixels. */
const LABEL = 15;

/**
 * Hours to label on an axis of clock times: three apart, or farther where the
 * labels would run into one another.
 * @param {number} low hours after noon
 * @param {number} high
 * @param {number} height of the axis in CSS pixels
 * @returns {number[]} multiples of three, six or twelve
 */
export function hourTicks(low, high, height) {
  const step = [3, 6, 12].find((s) => (height * s) / (high - low) >= LABEL) ?? 24;
  const out = [];
  for (let h = Math.ceil(low / step) * step; h <= high; h += step) out.push(h);
  return out;
}

/**
 * From insertion to removal by the clock, one bar a night.
 * @param {Summary} sum
 * @returns {Chart}
 */
export function bedtimeChart(sum) {
  const nights = sum.nights;
  const from = nights.map((n) => afterNoon(n.in));
  const to = nights.map((n) => afterNoon(n.out));
  return {
    name: 'Insertion and removal by the clock',
    make(c, width, height) {
      const f = frame(c, width, height);
      const value = (/** @type {uPlot} */ _u, /** @type {number|null} */ v) => (v === null ? '–' : clockOf(v));
      const known = [...from, ...to].filter((x) => x !== null);
      const low = Math.floor(Math.min(7, ...known) - 0.5);
      const high = Math.ceil(Math.max(20, ...known) + 0.5);
      return {
        opts: {
          ...f.base, axes: [f.xAxis, { ...f.axis, size: 52, splits: (/** @type {uPlot} */ u) => hourTicks(low, high, u.bbox.height / devicePixelRatio), values: (/** @type {uPlot} */ _u, /** @type {number[]} */ v) => v.map(clockOf) }],
          scales: { x: f.time, y: { dir: -1, range: [low, high] } },
          series: [f.x,
            { label: 'In', stroke: c.right, paths: () => null, points: { show: true, size: 5, fill: c.right }, value },
            { label: 'Out', stroke: c.left, paths: () => null, points: { show: true, size: 5, fill: 'transparent', width: 1.5 }, value }],
          hooks: { drawAxes: [(/** @type {uPlot} */ u) => {
            u.ctx.save();
            u.ctx.strokeStyle = c.fill;
            u.ctx.lineWidth = 3 * devicePixelRatio;
            nights.forEach((n, i) => {
              const a = from[i];
              const b = to[i];
              if (a === null || b === null) return;
              const x = u.valToPos(seconds(n.night), 'x', true);
              u.ctx.beginPath();
              u.ctx.moveTo(x, u.valToPos(a, 'y', true));
              u.ctx.lineTo(x, u.valToPos(b, 'y', true));
              u.ctx.stroke();
            });
            u.ctx.restore();
          }] },
        },
        data: [nights.map((n) => seconds(n.night)), from, to],
      };
    },
  };
}

/** Reports in a week from which its middle is drawn: of fewer it is only one of them. */
const WEEK_OF = 4;

/**
 * The middle of the reports of each evening and the six before it.
 * @param {{night: string, rating: number}[]} rows in order
 * @returns {(number|null)[]} 1 to 5 for each row, null where fewer than four tell of that week
 */
export function weekMiddle(rows) {
  return rows.map((r) => {
    const of = rows.filter((o) => o.night <= r.night && dayNumber(o.night) > dayNumber(r.night) - 7).map((o) => o.rating).sort((a, b) => a - b);
    return of.length < WEEK_OF ? null : (of[(of.length - 1) >> 1] + of[of.length >> 1]) / 2;
  });
}

/**
 * Evening sight: each report a dot, the middle of each week a line, and below
 * them hours since removal on the same axis of time.
 * @param {Summary} sum
 * @returns {Chart}
 */
export function sightChart(sum) {
  const rows = sum.sight;
  return {
    name: 'Evening sight, 5 is as clear as in the morning',
    make(c, width, height) {
      const f = frame(c, width, height);
      return {
        opts: {
          ...f.base,
          axes: [f.xAxis, { ...f.axis, size: 34, splits: (/** @type {uPlot} */ u) => (u.bbox.height / devicePixelRatio < 6.4 * LABEL ? [1, 3, 5] : [1, 2, 3, 4, 5]) },
            { ...f.axis, scale: 'h', side: 1, size: 44, grid: { show: false }, splits: () => [0, 24], values: (/** @type {uPlot} */ _u, /** @type {number[]} */ v) => v.map((x) => `${x} h`) }],
          scales: { x: f.time, y: { range: [-1, 5.4] }, h: { range: [-3, 96] } }, // hours keep to the lowest quarter, sight to the rest
          series: [f.x,
            { label: 'Sight, of 5', value: (/** @type {uPlot} */ _u, /** @type {number|null} */ v) => (v === null ? '–' : String(v)), stroke: c.ink, paths: () => null, points: { show: true, size: 5, fill: c.ink } },
            { label: 'Middle of seven evenings', value: (/** @type {uPlot} */ _u, /** @type {number|null} */ v) => (v === null ? '–' : String(v)), stroke: c.fill, width: 2, points: { show: false } },
            { label: 'Hours since removal', scale: 'h', stroke: c.quiet, paths: () => null, points: { show: true, size: 4, fill: 'transparent', width: 1 },
              value: (/** @type {uPlot} */ _u, /** @type {number|null} */ v) => (v === null ? '–' : `${number(v, 1)} h`) }],
        },
        data: [rows.map((r) => seconds(r.night)), rows.map((r) => r.rating), weekMiddle(rows), rows.map((r) => r.hours)],
      };
    },
  };
}

/**
 * One value of each eye over time.
 * @param {string} name
 * @param {{date: string, eye: string, value: number|null}[]} points
 * @param {{digits: number, unit: string, dir?: 1|-1}} how dir -1 draws small values at the top
 * @returns {Chart}
 */
export function eyesChart(name, points, how) {
  const dates = [...new Set(points.map((p) => p.date))].sort();
  /** @param {string} eye */
  const of = (eye) => dates.map((d) => points.find((p) => p.date === d && p.eye === eye)?.value ?? null);
  return {
    name,
    make(c, width, height) {
      const f = frame(c, width, height);
      const value = (/** @type {uPlot} */ _u, /** @type {number|null} */ v) => (v === null ? '–' : `${number(v, how.digits)} ${how.unit}`);
      const known = points.map((p) => p.value).filter((v) => v !== null);
      const [low, high] = [Math.min(...known), Math.max(...known)];
      const ends = [...new Set([low, (low + high) / 2, high])]; // a chart on paper is too low for round steps
      const pad = Math.max(0.05, (high - low) * 0.15);
      return {
        opts: {
          ...f.base, axes: [f.xAxis, { ...f.axis, size: 56, splits: () => ends, values: (/** @type {uPlot} */ _u, /** @type {number[]} */ v) => v.map((x) => number(x, how.digits)) }],
          scales: { x: f.time, y: { dir: how.dir ?? 1, range: [low - pad, high + pad] } },
          series: [f.x,
            { label: 'Right', stroke: c.right, width: 2, spanGaps: true, points: { show: true, size: 8, fill: c.right }, value },
            { label: 'Left', stroke: c.left, width: 2, dash: [6, 4], spanGaps: true, points: { show: true, size: 8, fill: 'transparent', width: 2 }, value }],
        },
        data: [dates.map(seconds), of('right'), of('left')],
      };
    },
  };
}

/**
 * @param {GrowthRow[]} rows
 * @returns {Chart}
 */
export const growthChart = (rows) => eyesChart('Axial length', rows.flatMap((g) =>
  g.readings.map((r) => ({ date: r.date, eye: g.eye, value: r.mm }))), { digits: 2, unit: 'mm' });

/**
 * @param {Summary} sum
 * @returns {Chart}
 */
export const acuityChart = (sum) => eyesChart('Unaided acuity at home, logMAR, better above',
  sum.acuity.filter((a) => a.logmar !== null).map((a) => ({ date: a.night, eye: a.eye, value: a.logmar })), { digits: 2, unit: '', dir: -1 });
