// Screens that are fetched when they are opened (kept by the service worker
// all the same): the measured sight test.
import { h, useEffect, useState } from '../../ui/dom.js';

/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export function Later(props) {
  const [view, setView] = useState(/** @type {{View: (p: ViewProps) => any}|null} */ (null));
  useEffect(() => { void import('./acuity.js').then((m) => setView({ View: m.Acuity })); }, []);
  return view ? h(view.View, props) : h('p', { role: 'status' }, props.app.state.words.t('start.loading'));
}
