// The charts of the review, drawn by the kept library uPlot, which is fetched
// when the first chart is. What a chart shows is worked out here, apart from
// the drawing, and every chart has its table beside it.

import { dayNumber, weekdayDate, number } from './format.js';

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
  const axis = { stroke: c.quiet, grid: { stroke: c.line, width: 1 }, ticks: { stroke: c.line }, font: '12px system-ui' };
  return {
    base: {
      width, height,
      tzDate: (/** @type {number} */ ts) => new Date(new Date(ts * 1000).toISOString().slice(0, 19)), // dates of evenings, in no zone
      legend: { live: true },
      cursor: { points: { size: 6 }, drag: { x: false, y: false } },
    },
    axis,
    x: { label: 'Date', value: (/** @type {uPlot} */ _u, /** @type {number|null} */ v) => (v === null ? '–' : dateLabel(v)) },
    xAxis: { ...axis, values: (/** @type {uPlot} */ _u, /** @type {number[]} */ list) => list.map((s) => dateLabel(s).slice(4)), space: 64, size: 30 },
  };
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
    for (const n of nights) {
      if (n.hours !== null) continue;
      const mark = n.counted === 'missed' ? '✕' : n.status === 'not-logged' ? '·' : '?';
      ctx.fillStyle = mark === '·' ? c.quiet : c.ink;
      ctx.fillText(mark, u.valToPos(seconds(n.night), 'x', true), u.bbox.top + u.bbox.height - 2);
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
          scales: { x: { time: true }, y: { range: [0, Math.max(12, sum.hours.max)] } },
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

/** @param {number} low @param {number} high @returns {number[]} whole hours three apart */
function everyThree(low, high) {
  const out = [];
  for (let h = Math.ceil(low / 3) * 3; h <= high; h += 3) out.push(h);
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
          ...f.base, axes: [f.xAxis, { ...f.axis, size: 52, splits: () => everyThree(low, high), values: (/** @type {uPlot} */ _u, /** @type {number[]} */ v) => v.map(clockOf) }],
          scales: { x: { time: true }, y: { dir: -1, range: [low, high] } },
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

/**
 * Evening sight, with hours since removal on the same axis of time.
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
          axes: [f.xAxis, { ...f.axis, size: 34, splits: () => [1, 2, 3, 4, 5] },
            { ...f.axis, scale: 'h', side: 1, size: 44, grid: { show: false }, values: (/** @type {uPlot} */ _u, /** @type {number[]} */ v) => v.map((x) => `${x} h`) }],
          scales: { x: { time: true }, y: { range: [0.7, 5.3] }, h: { range: [0, 24] } },
          series: [f.x,
            { label: 'Sight, of 5', value: (/** @type {uPlot} */ _u, /** @type {number|null} */ v) => (v === null ? '–' : String(v)), stroke: c.right, width: 2, spanGaps: true, points: { show: true, size: 7, fill: c.right } },
            { label: 'Hours since removal', scale: 'h', stroke: c.quiet, paths: () => null, points: { show: true, size: 5, fill: 'transparent', width: 1.5 },
              value: (/** @type {uPlot} */ _u, /** @type {number|null} */ v) => (v === null ? '–' : `${number(v, 1)} h`) }],
        },
        data: [rows.map((r) => seconds(r.night)), rows.map((r) => r.rating), rows.map((r) => r.hours)],
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
          scales: { x: { time: true }, y: { dir: how.dir ?? 1, range: [low - pad, high + pad] } },
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
