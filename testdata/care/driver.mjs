// Runs the JavaScript twins for the Go tests of package care.
//   node driver.mjs wear   one history a line -> where both eyes stand, a line
import { createInterface } from 'node:readline';
import { readMarks, wearOf } from '../../pwa/app/model/wear.js';

/** An entry as the vectors have it, as what the wear state reads of it. @param {any} s @returns {import("../../pwa/app/model/wear.js").WearFact} */
export function fact(s) {
  return {
    id: s.id, kind: s.kind, night: s.night, state: s.state || 'stored', told: readMarks(s.told), judged: readMarks(s.judged),
    about: /** @type {('right'|'left')[]} */ (['right', 'left']).filter((eye) => s.kind === 'symptoms' && [eye, 'both'].includes(s.about || 'both')),
    usual: s.usual,
    sore: s.kind === 'not-worn' && !s.reason, ends: s.ends ?? [], takes: s.takes ?? [], eyes: s.eyes ?? [], answers: s.answers ?? [],
    from: s.from ?? '', begins: s.begins ?? '', check: s.check ?? false, made: s.made ?? '',
    opens: Object.fromEntries(Object.entries(s.opens ?? {}).map(([id, m]) => [id, readMarks({ right: /** @type {any} */ (m).right, left: /** @type {any} */ (m).left })])),
  };
}

/** Where both eyes stand by a history. @param {any} h */
export function wear(h) {
  const byTable = h.table_says ? () => readMarks({ right: 'stop', left: 'stop' }) : undefined;
  return wearOf(h.entries.map(fact), h.night, { history: h.as_history, byTable });
}

if (process.argv[2] === 'wear') {
  for await (const line of createInterface({ input: process.stdin })) {
    const h = JSON.parse(line);
    console.log(JSON.stringify(wear({ ...h, entries: h.entries ?? [] })));
  }
}
