// Read a release with Node's DuckDB: queries come in and answers go out as JSON.
// node read_views.mjs FOLDER-OF-PACKAGES RELEASE

import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';

const [packages, release] = process.argv.slice(2);
const { DuckDBInstance } = createRequire(join(packages, 'package.json'))('@duckdb/node-api');

// A cell as JSON holds it without loss: decimals and dates as text.
function plain(value) {
  if (typeof value === 'bigint') {
    if (!Number.isSafeInteger(Number(value))) throw new RangeError(`${value} does not fit`);
    return Number(value);
  }
  return value !== null && typeof value === 'object' ? String(value) : value;
}

const instance = await DuckDBInstance.create(release, { access_mode: 'READ_ONLY' });
const connection = await instance.connect();
const answers = [];
for (const query of JSON.parse(readFileSync(0, 'utf8'))) {
  const reader = await connection.runAndReadAll(query);
  answers.push({
    names: reader.columnNames(),
    types: reader.columnTypes().map(String),
    rows: reader.getRows().map((row) => row.map(plain)),
  });
}
connection.closeSync();
instance.closeSync();
process.stdout.write(JSON.stringify(answers));
