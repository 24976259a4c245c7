// What this phone has is old: numbers and plan it has not asked about for a day,
// or rules that the practice has corrected since; or its clock is wrong.
import { h, useEffect, useState } from '../../ui/dom.js';
import { Button, LinkButton, Notice } from '../../ui/parts.js';
import { nameOf } from '../app.js';
import { RULES } from '../model/report.js';
import { link, parse } from '../route.js';
import { Calls } from './calls.js';
import { update } from './more.js';

const DAY_MS = 86400000;
const SKEW_MS = 5 * 60000; // from which a clock counts as wrong, as on the server (care.SkewLimit)

const KNOWN = 'known-devices';

/**
 * What the family is told about who reads its log: words that changed, consent that
 * was taken back, a phone more. It never stands over a check or its advice.
 * @param {{app: import('../app.js').App}} props
 */
export function Told({ app }) {
  const s = app.state;
  const { t } = s.words;
  const [known, setKnown] = useState((localStorage.getItem(KNOWN) ?? '').split(' '));
  const f = s.family;
  // Without consent nothing is offered for the log that would not be taken. What is
  // said of lenses, whom to phone and every way to the check stay.
  const gone = !!f?.consent?.withdrawn;
  const form = gone && ['evening', 'acuity', 'night', 'edit', 'supplies'].includes(parse(location.hash).view);
  useEffect(() => {
    const { classList } = document.documentElement;
    classList.toggle('no-consent', gone);
    classList.toggle('no-form', form);
  }, [gone, form]);
  if (!f || ['check', 'advice', 'more', 'first'].includes(parse(location.hash).view)) return null;
  const { consent } = f;
  const news = (f.news ?? []).filter(n => n.kind === 'device' && !known.includes(n.id));
  const know = () => {
    const all = [...known, ...news.map(n => n.id)].slice(-60);
    localStorage.setItem(KNOWN, all.join(' '));
    setKnown(all);
  };
  return [
    consent?.withdrawn
      ? h('div', { class: 'across' }, h(Notice, { kind: 'urgent', test: 'told-withdrawn' }, t('aged.withdrawn')))
      : consent &&
        consent.agreed !== consent.version &&
        h(
          'div',
          { class: 'across' },
          h(
            Notice,
            { test: 'told-consent' },
            h('p', null, t('aged.consent')),
            h(LinkButton, { href: link('more', 'privacy') }, t('aged.consent.read')),
          ),
        ),
    news.length > 0 &&
      h(
        'div',
        { class: 'across' },
        h(
          Notice,
          { kind: 'urgent', test: 'told-device' },
          news.map(n =>
            h(
              'p',
              { key: n.id },
              t('aged.device', {
                device: n.device,
                name: nameOf(s, n.person),
                time: s.words.moment(Date.parse(n.at), s.zone),
              }),
            ),
          ),
          h(
            'div',
            { class: 'row' },
            h(Button, { onPress: know, test: 'device-known' }, t('aged.device.known')),
            h(LinkButton, { href: link('devices') }, t('aged.device.look')),
          ),
        ),
      ),
  ];
}

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
    Math.abs(s.skew) > SKEW_MS &&
      h(
        'div',
        { class: 'across' },
        h(Notice, { kind: 'urgent', test: 'wrong-clock' }, t('aged.clock', { off: s.words.span(Math.abs(s.skew)) })),
      ),
    old &&
      h(
        'div',
        { class: 'across' },
        h(Notice, { kind: 'urgent', test: 'old-family' }, t('aged.family', { time: s.words.moment(asked, s.zone) })),
      ),
  ];
}
