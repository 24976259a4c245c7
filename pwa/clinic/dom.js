// The rendering library as the console uses it, and the few pieces every view
// shares.

import { h, render, Fragment } from '../vendor/preact.js';
import {
  useEffect,
  useErrorBoundary,
  useId,
  useLayoutEffect,
  useRef,
  useState,
  useCallback,
} from '../vendor/preact-hooks.js';
import { ApiError, isQuestion } from './api.js';
import { tr } from './text.js';

export { h, render, Fragment, useEffect, useErrorBoundary, useId, useLayoutEffect, useRef, useState, useCallback };

/** @import { ComponentChildren } from '../vendor/preact.js' */

/**
 * @template T
 * @typedef {object} Loaded
 * @property {T|undefined} data the last answer, kept while a newer one is on its way
 * @property {ApiError|undefined} error of the last attempt
 * @property {boolean} busy
 * @property {() => void} reload
 */

/**
 * Loads something when the view opens and when a key changes. A slow answer
 * for an earlier key is dropped.
 * @template T
 * @param {(again: boolean) => Promise<T>} load again: what it fetched before is asked for anew, by the page itself
 * @param {string} key what is loaded, in words that change with it
 * @returns {Loaded<T>}
 */
export function useLoad(load, key) {
  const [state, set] = useState(
    /** @type {{data?: T, error?: ApiError, busy: boolean, key: string}} */ ({ busy: true, key }),
  );
  const [turn, again] = useState(0);
  useEffect(() => {
    let current = true;
    set(s => ({ ...s, busy: true }));
    load(turn > 0).then(
      data => current && set({ data, busy: false, key }),
      error =>
        current && set(s => ({ data: s.key === key ? s.data : undefined, error: asApiError(error), busy: false, key })),
    );
    return () => {
      current = false;
    };
  }, [key, turn]);
  return { data: state.data, error: state.error, busy: state.busy, reload: () => again(n => n + 1) };
}

/**
 * Asks again and again, for a page that shows what others change meanwhile.
 * @param {() => void} reload of {@link useLoad}
 * @param {number} [ms]
 */
export function useFollow(reload, ms = 5000) {
  useEffect(() => {
    const timer = setInterval(reload, ms);
    return () => clearInterval(timer);
  }, []);
}

/**
 * @param {unknown} error
 * @returns {ApiError} what the browser itself says is in its own language: it is put into ours
 */
export function asApiError(error) {
  if (error instanceof ApiError) return error;
  const ours = error instanceof Error && error.name === 'Error';
  if (!ours) console.error(error);
  const words = tr('This browser could not do that. Try again; if it happens again, reload the page.');
  return new ApiError(0, 'fault', ours ? error.message : words, '');
}

/**
 * An error, or a note that something is being fetched; nothing when all is
 * well.
 * @param {{error?: ApiError, busy?: boolean, retry?: () => void}} props
 */
export function Trouble({ error, busy, retry }) {
  if (error) {
    return h(
      'p',
      { class: 'trouble', role: 'alert' },
      error.message,
      ' ',
      retry && h('button', { type: 'button', onClick: retry }, tr('Try again')),
    );
  }
  return busy ? h('p', { class: 'quiet', role: 'status' }, tr('Fetching…')) : null;
}

/**
 * One labelled field of a form. Its hint and what is wrong with it are read after
 * its name, and no part of the name.
 * @param {{label: string, hint?: string, error?: string, children?: ComponentChildren}} props
 */
export function Field({ label, hint, error, children }) {
  const box = useRef(/** @type {HTMLElement|null} */ (null));
  const id = useId();
  useLayoutEffect(() => {
    const control = box.current?.querySelector('input, select, textarea');
    const about = [hint && `${id}-hint`, error && `${id}-fault`].filter(Boolean).join(' ');
    for (const [name, value] of [
      ['aria-invalid', error ? 'true' : ''],
      ['aria-describedby', about],
    ])
      if (value) control?.setAttribute(name, value);
      else control?.removeAttribute(name);
  }, [error, hint]);
  return h(
    'div',
    { class: error ? 'field bad' : 'field', ref: box },
    h('label', null, h('span', { class: 'field-label' }, label), children),
    hint && h('span', { class: 'hint', id: `${id}-hint` }, hint),
    error && h('span', { class: 'field-error', role: 'alert', id: `${id}-fault` }, error),
  );
}

/**
 * A refusal at the foot of a form, unless it stands beside a field: then that
 * field gets the focus, as it may be out of sight.
 * @param {{error: ApiError|undefined, words?: string}} props words: what of it no field shows
 */
export function FormFault({ error, words = error?.message ?? '' }) {
  const box = useRef(/** @type {HTMLElement|null} */ (null));
  const [beside, setBeside] = useState(false);
  useLayoutEffect(() => {
    const bad = box.current?.closest('form')?.querySelector('[aria-invalid=true]');
    setBeside(!!bad);
    if (error && bad instanceof HTMLElement) bad.focus();
  }, [error]);
  const show = error && !isQuestion(error) && words && (!beside || words !== error.message);
  return h('div', { ref: box }, show && h('p', { class: 'field-error', role: 'alert' }, words));
}

/** The head row of a table. @param {{cells: string[]}} props */
export const HeadRow = ({ cells }) =>
  h(
    'thead',
    null,
    h(
      'tr',
      null,
      cells.map(t => h('th', { scope: 'col' }, t)),
    ),
  );

/** A table whose first cell names the row. @param {{head: string[], rows: (string|number)[][]}} props */
export function Table({ head, rows }) {
  return h(
    'table',
    null,
    h(HeadRow, { cells: head }),
    h(
      'tbody',
      null,
      rows.map(r =>
        h(
          'tr',
          null,
          r.map((c, i) => (i ? h('td', null, c) : h('th', { scope: 'row' }, c))),
        ),
      ),
    ),
  );
}

/**
 * The table behind a chart: for a keyboard, a screen reader and whoever
 * prefers figures.
 * @param {{caption: string, head: string[], rows: (string|number)[][], open?: boolean}} props
 */
export function DataTable({ caption, head, rows, open }) {
  return h(
    'details',
    { class: 'figures', open },
    h('summary', null, tr('{caption}: as a table', { caption })),
    h('div', { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': caption }, h(Table, { head, rows })),
  );
}

/**
 * Runs an action once at a time and keeps its error.
 * @returns {{run: (job: () => Promise<unknown>) => void, busy: boolean, error: ApiError|undefined, clear: () => void}}
 */
export function useAction() {
  const [state, set] = useState(/** @type {{busy: boolean, error?: ApiError}} */ ({ busy: false }));
  /** @param {() => Promise<unknown>} job */
  const run = job => {
    if (state.busy) return;
    set({ busy: true });
    job().then(
      () => set({ busy: false }),
      e => set({ busy: false, error: asApiError(e) }),
    );
  };
  return { run, busy: state.busy, error: state.error, clear: () => set({ busy: false }) };
}
