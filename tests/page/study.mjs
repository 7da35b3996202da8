// What is in a study file, read by SQLite itself and not by the program.

import { execFileSync } from 'node:child_process';

/** Runs a few lines of Python over a study that SQLite finds sound; `db` is the database, `study` its name. */
function ask(study, lines) {
  const before = 'import hashlib, json, sqlite3, sys\ndb = sqlite3.connect(sys.argv[1])\n' +
    'assert db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"\n';
  return execFileSync('python3', ['-c', before + lines, study], { encoding: 'utf8', maxBuffer: 2 ** 28 });
}

/** Of every table how many rows, a sum over them, and its columns. */
export function content(study) {
  return JSON.parse(ask(study, `
tables = [name for name, in db.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")]
found = {}
for table in tables:
    columns = [column[1] for column in db.execute(f"PRAGMA table_info({table})")]
    rows = sorted(repr(row) for row in db.execute(f"SELECT * FROM {table}"))
    found[table] = [len(rows), hashlib.sha256("\\n".join(rows).encode()).hexdigest(), columns]
print(json.dumps(found))
`));
}

/** How many steps are in it. */
export function steps(study) {
  return Number(ask(study, 'print(db.execute("SELECT count(*) FROM step").fetchone()[0])'));
}

/** The samples of every stroke up to where the study stands, in the order in which they were painted. */
export function strokes(study) {
  const commands = ask(study, `
for command, in db.execute("SELECT command FROM step WHERE kind = 'stroke' AND step <= (SELECT head FROM study) ORDER BY step"):
    print(json.dumps(command))
`).trim().split('\n').filter(Boolean);
  return commands.map((line) => JSON.parse(line)).filter((command) => command.startsWith('Stroke')).map((command) =>
    [...command.matchAll(/\(x_px[^()]*(?:\([^()]*\)[^()]*)*\)/g)].map(([sample]) => ({
      x: Number(/x_px: ?(-?[0-9.]+)/.exec(sample)[1]),
      y: Number(/y_px: ?(-?[0-9.]+)/.exec(sample)[1]),
      pressure: Number(/pressure: ?([0-9.]+)/.exec(sample)?.[1] ?? 1),
      leans: /tilt_degrees/.test(sample) && /twist_degrees/.test(sample),
    })),
  );
}
