// Screens that are fetched when they are opened (kept by the service worker
// all the same): what is seldom needed.
import { h, useEffect, useState } from '../../ui/dom.js';

/** @import { ViewProps } from '../frame.js' */

/**
 * A screen that fetches itself.
 * @param {() => Promise<(p: ViewProps) => any>} load
 * @returns {(p: ViewProps) => any}
 */
function later(load) {
  return function Later(props) {
    const [view, setView] = useState(/** @type {{View: (p: ViewProps) => any}|null} */ (null));
    useEffect(() => { void load().then((View) => setView({ View })); }, []);
    return view ? h(view.View, props) : h('p', { role: 'status' }, props.app.state.words.t('start.loading'));
  };
}

export const Acuity = later(() => import('./acuity.js').then((m) => m.Acuity));
export const Devices = later(() => import('./devices.js').then((m) => m.Devices));
export const Parts = later(() => import('./parts.js').then((m) => m.Parts));
export const More = later(() => import('./more.js').then((m) => m.More));
