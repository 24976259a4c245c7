// What this phone has is old: numbers and plan it has not asked about for a day,
// or rules that the practice has corrected since.
import { h } from '../../ui/dom.js';
import { Button, Notice } from '../../ui/parts.js';
import { RULES } from '../model/report.js';
import { parse } from '../route.js';
import { Calls } from './calls.js';
import { update } from './more.js';

const DAY_MS = 86400000;

/** @param {{app: import('../app.js').App}} props */
export function Aged({ app }) {
  const s = app.state;
  const { t } = s.words;
  const f = s.family;
  if (!f) return null;
  const corrected = (f.least_rules ?? 0) > RULES.version;
  const asked = Date.parse(f.now);
  const old = s.now - asked > DAY_MS;
  return [
    corrected &&
      h(
        'div',
        { class: 'across stack' },
        h(
          Notice,
          { kind: 'alarm', test: 'old-rules' },
          h('p', null, h('strong', null, t('aged.rules'))),
          h(Button, { kind: 'main', onPress: () => (s.update ? update() : location.reload()) }, t('more.update')),
        ),
        // The check and its advice have the numbers themselves.
        !['check', 'advice'].includes(parse(location.hash).view) && h(Calls, { s, level: 'emergency' }),
      ),
    old &&
      h(
        'div',
        { class: 'across' },
        h(Notice, { kind: 'urgent', test: 'old-family' }, t('aged.family', { time: s.words.moment(asked, s.zone) })),
      ),
  ];
}
