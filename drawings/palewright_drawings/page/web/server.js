// What the page asks of its server. One request of a kind is in flight, the newest value wins.

const PAGE = crypto.randomUUID();

/** An answer that says no: bad input, superseded, or a job that failed. */
export class Refused extends Error {
  constructor(status, error) {
    super(error.message);
    this.status = status;
    this.key = error.key || "";
    this.file = error.file || "";
    this.line = error.line || 0;
  }

  /** One line: where, what, and what is allowed. */
  get told() {
    const place = this.line ? `${this.file}, line ${this.line}` : this.file;
    return [place, this.key, this.message].filter(Boolean).join(": ");
  }
}

export async function ask(task, request, signal) {
  const answer = await fetch(`/${task}`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ page: PAGE, ...request }),
    signal,
  });
  if (!answer.ok) {
    const told = await answer.json().catch(() => ({ error: { message: answer.statusText } }));
    throw new Refused(answer.status, told.error);
  }
  return answer;
}

export const start = async () => (await fetch("/start")).json();

/** The thing whose size everyone knows, as the server packs it. */
export const beside = async () => (await ask("beside", {})).arrayBuffer();

/** Asks with the newest request only: while one is under way, later ones replace each other. */
export function newestOnly(task, done, failed) {
  let busy = false;
  let next = null;
  return async function send(request) {
    if (busy) {
      next = request;
      return;
    }
    busy = true;
    let found = null;
    let trouble = null;
    try {
      found = await (await ask(task, request)).json();
    } catch (error) {
      trouble = error;
    }
    busy = false;
    const newer = next;
    next = null;
    if (newer) send(newer); // on its way while this answer is drawn
    if (found) done(found, request, !newer);
    else if (!newer) failed(trouble, request);
  };
}

/** Asks after a rest, and gives up what is under way when a newer request comes, or none; `read` makes of the answer what is `done`. */
export function afterRest(task, rest, done, failed, read = (answer) => answer.json()) {
  let timer = 0;
  let under = null;
  return function send(request) {
    clearTimeout(timer);
    under?.abort();
    if (!request) return;
    timer = setTimeout(async () => {
      const mine = (under = new AbortController());
      try {
        done(await read(await ask(task, request, mine.signal)), request);
      } catch (error) {
        if (!mine.signal.aborted && error.status !== 409) failed(error, request);
      }
    }, rest);
  };
}

/** Asks a long job; `told` hears of each of its lines on the way. Returns what it made as a Blob. */
export async function askTold(task, request, signal, told) {
  const answer = await ask(task, { ...request, tell: true }, signal);
  const reader = answer.body.getReader();
  let held = new Uint8Array();
  const more = async () => {
    const { value, done } = await reader.read();
    if (done) throw new Refused(500, { message: "the answer ended too early" });
    const both = new Uint8Array(held.length + value.length);
    both.set(held);
    both.set(value, held.length);
    held = both;
  };
  for (;;) {
    let end;
    while ((end = held.indexOf(10)) < 0) await more();
    const said = JSON.parse(new TextDecoder().decode(held.subarray(0, end)));
    held = held.slice(end + 1);
    if (said.error) throw new Refused(said.status, said.error);
    if (said.kind) return await rest(reader, held, said);
    told(said);
  }
}

/** The bytes after the last line, as a Blob. */
async function rest(reader, begun, { kind, bytes }) {
  const pieces = [begun];
  let count = begun.length;
  for (;;) {
    const { value, done } = await reader.read();
    if (done) break;
    pieces.push(value);
    count += value.length;
  }
  if (count !== bytes) throw new Refused(500, { message: "the answer ended too early" });
  return new Blob(pieces, { type: kind });
}
