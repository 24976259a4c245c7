// Runs the JavaScript evaluator for the Go tests of package alerts.
//   node driver.mjs reports CHUNK     a report a line, as digits -> a SHA-256 per CHUNK, then the count
//   node driver.mjs evaluate          one JSON input a line -> its findings a line

import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { load } from '../../alerts/check.js';
import { evaluate, recordMarks, reportMarks, triage } from '../../alerts/evaluate.js';

const table = load(JSON.parse(readFileSync(new URL('../../alerts/rules.json', import.meta.url), 'utf8')));

async function reports(chunk) {
  const signs = [...table.signs.filter((s) => s.scope === 'eye'), ...table.signs.filter((s) => s.scope === 'report')];
  const said = (digits) => Object.fromEntries([...digits].flatMap((d, i) => (d === '0' ? [] : [[signs[i], signs[i].answers[d - 1]]])).map(([s, a]) => [s.name, a]));
  const ofEye = (all) => Object.fromEntries(Object.entries(all).filter(([name]) => signs.find((s) => s.name === name).scope === 'eye'));
  let hash = createHash('sha256');
  let n = 0;
  for await (const line of createInterface({ input: process.stdin })) {
    const [right, left] = [said(line.slice(0, signs.length)), said(line.slice(signs.length))];
    const report = { right: ofEye(right), left: ofEye(left), ill: right.ill, now: right.now, water: right.water };
    const o = triage(table, report);
    const m = reportMarks(table, report);
    const found = o.findings.map((f) => `${f.rule}:${f.eye}:${f.state}`).join(',');
    hash.update(`${o.level} ${o.couldBe} ${o.unknown} ${o.unsure} ${found} ${o.actions.join(',')} ${o.cautions.join(',')} ${m.right} ${m.left}\n`);
    n++;
    if (n % chunk === 0) {
      console.log(hash.digest('hex'));
      hash = createHash('sha256');
    }
  }
  if (n % chunk !== 0) console.log(hash.digest('hex'));
  console.log(n);
}

async function evaluateLines() {
  for await (const line of createInterface({ input: process.stdin })) {
    const input = JSON.parse(line);
    const found = evaluate(table, input);
    const findings = found.map((f) => `${f.rule}:${f.eye}:${f.state}:${f.level}:${f.version}`);
    const m = input.report ? reportMarks(table, input.report) : recordMarks(table, found);
    console.log(`${findings.join(',')} ${m.right} ${m.left}`);
  }
}

if (process.argv[2] === 'reports') await reports(Number(process.argv[3]));
else await evaluateLines();
