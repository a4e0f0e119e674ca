// Holds the statements that `beforeiron class` writes against a validator of xAPI
// that knows nothing of the program (@learninglocker/xapi-validation, MIT).
//
//     node xapi_peer.js FOLDER STATEMENTS.json
//
// FOLDER is where the validator was installed.
'use strict';
const fs = require('fs');
const path = require('path');

const [folder, file] = process.argv.slice(2);
const validate = require(path.resolve(folder, 'node_modules/@learninglocker/xapi-validation')).default;
const statements = JSON.parse(fs.readFileSync(file, 'utf8'));

function fail(what) {
  console.error(what);
  process.exit(1);
}

if (!Array.isArray(statements) || statements.length === 0) fail(`${file} is no list of statements`);
for (const s of statements) {
  const warnings = validate(s);
  if (warnings.length > 0) fail(`${s.id}: ${JSON.stringify(warnings, null, 1)}`);
}

// A validator that passes everything shows nothing: each of these must be found.
const scored = statements.find((s) => s.result.score);
if (!scored) fail('no statement has a score');
const spoil = {
  'no actor': (s) => delete s.actor,
  'no verb': (s) => delete s.verb.id,
  'a scaled score of 1.2': (s) => { s.result.score.scaled = 1.2; },
  'a score in words': (s) => { s.result.score.raw = '82'; },
  'two identifiers of an actor': (s) => { s.actor.mbox = 'mailto:a@example.org'; },
  'an identifier that is no address': (s) => { s.object.id = 'lesson 5'; },
  'an unknown key': (s) => { s.marks = 1; },
  'a time that is none': (s) => { s.timestamp = 'yesterday'; },
  'an identifier that is no UUID': (s) => { s.id = '42'; },
};
for (const [what, change] of Object.entries(spoil)) {
  const s = JSON.parse(JSON.stringify(scored));
  change(s);
  if (validate(s).length === 0) fail(`the validator lets ${what} pass`);
}
console.log(`${statements.length} statements without a warning; ${Object.keys(spoil).length} spoiled ones found`);
