// What the page asks of its server. One request of a kind is in flight, the newest value wins.

const PAGE = crypto.randomUUID();

/** An answer that says no: bad input, superseded, or a job that failed. */
export class Refused extends Error {
  constructor(status, error) {
    super(error.message);
    this.status = status;
    this.key = error.key || "";
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
    try {
      const found = await (await ask(task, request)).json();
      done(found, request, !next);
    } catch (error) {
      if (!next) failed(error, request);
    }
    busy = false;
    if (next) {
      const newer = next;
      next = null;
      send(newer);
    }
  };
}

/** Asks after a rest, and gives up what is under way when a newer request comes, or none. */
export function afterRest(task, rest, done, failed) {
  let timer = 0;
  let under = null;
  return function send(request) {
    clearTimeout(timer);
    under?.abort();
    if (!request) return;
    timer = setTimeout(async () => {
      const mine = (under = new AbortController());
      try {
        done(await (await ask(task, request, mine.signal)).json(), request);
      } catch (error) {
        if (!mine.signal.aborted && error.status !== 409) failed(error);
      }
    }, rest);
  };
}
