// The measured sight test.
import { h } from '../../ui/dom.js';

/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export function Acuity({ app }) {
  return h('h1', null, app.state.words.t('kind.acuity-run'));
}
