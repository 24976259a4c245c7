// While the lens of one eye is kept for the clinic: which lens alone is cleaned, and in
// which case.
import { h } from '../../ui/dom.js';

/** @import { App } from '../app.js' */

/** @param {{app: App, eye: string}} props eye: right or left; "" for none, both are kept */
export function OnlyOne({ app, eye }) {
  const { t } = app.state.words;
  return h(
    'p',
    { 'data-test': 'only-one' },
    h('strong', null, eye ? t('care.only', { eye: t(`eye.${eye}`) }) : t('wear.keep')),
  );
}
