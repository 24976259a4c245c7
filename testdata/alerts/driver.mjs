// Runs the JavaScript evaluator for the Go tests of package alerts.
//   node driver.mjs enumerate CHUNK   a SHA-256 per CHUNK reports, then the count
//   node driver.mjs evaluate          one JSON input a line -> its findings a line

import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { evaluate, load, triage } from '../../alerts/evaluate.js';

const table = load(JSON.parse(readFileSync(new URL('../../alerts/rules.json', import.meta.url), 'utf8')));

function enumerate(chunk) {
  const signs = table.signs.filter((s) => s.scope === 'eye');
  const left = Object.fromEntries(signs.map((s) => [s.name, s.answers[0]]));
  const total = signs.reduce((n, s) => n * (s.answers.length + 1), 1);
  let hash = createHash('sha256');
  for (let i = 0; i < total; i++) {
    const right = {};
    let rest = i;
    for (const s of signs) {
      const answer = rest % (s.answers.length + 1);
      rest = Math.floor(rest / (s.answers.length + 1));
      if (answer > 0) right[s.name] = s.answers[answer - 1];
    }
    const o = triage(table, { right, left, ill: 'no' });
    const found = o.findings.map((f) => `${f.rule}:${f.eye}:${f.state}`).join(',');
    hash.update(`${o.level} ${o.couldBe} ${o.unknown} ${found} ${o.actions.join(',')} ${o.cautions.join(',')}\n`);
    if ((i + 1) % chunk === 0 || i + 1 === total) {
      console.log(hash.digest('hex'));
      hash = createHash('sha256');
    }
  }
  console.log(total);
}

async function evaluateLines() {
  for await (const line of createInterface({ input: process.stdin })) {
    const input = JSON.parse(line);
    const findings = evaluate(table, input).map((f) => `${f.rule}:${f.eye}:${f.state}:${f.level}:${f.version}`);
    console.log(findings.join(','));
  }
}

if (process.argv[2] === 'enumerate') enumerate(Number(process.argv[3]));
else await evaluateLines();
