// Sends what waits, in order, and fetches the newest job. Safe to call at any time, from any tab.

import * as store from "./store.js";

const places = document.getElementById("job").dataset;

function asked(token, address, options = {}) {
  return fetch(address, {
    ...options,
    headers: { ...options.headers, Authorization: `Link ${token}` },
    credentials: "omit",
    cache: "no-store",
    referrerPolicy: "no-referrer",
  });
}

export class LinkGone extends Error {}

async function detail(answer) {
  const problem = await answer.json().catch(() => ({}));
  return problem.detail ?? `The office answered ${answer.status}.`;
}

// One tab at a time.
function alone(work) {
  return navigator.locks ? navigator.locks.request("hanging-sync", work) : work();
}

export function sync(token) {
  return alone(async () => {
    await sendAll(token);
    return fetchJob(token);
  });
}

async function sendAll(token) {
  let renumbered = false;
  for (;;) {
    const [next] = await store.waiting(token);
    if (!next) return;
    const answer = await send(token, next);
    if (answer.ok) {
      const outcome = await answer.json();
      if (outcome.conflict) await say(token, next.action, outcome.conflict);
      await store.unqueue(next.id);
      renumbered = false;
    } else if (answer.status === 401 || answer.status === 403) {
      throw new LinkGone(await detail(answer));
    } else if (answer.status === 409) {
      const problem = await answer.json();
      if (problem.expected !== undefined && !renumbered) {
        await store.renumber(token, problem.expected);
        renumbered = true;
      } else {
        await refuse(token, next, problem.detail);
      }
    } else if ([400, 404, 413, 415, 422].includes(answer.status)) {
      await refuse(token, next, await detail(answer));
    } else {
      throw new Error(await detail(answer)); // busy or broken: try again later
    }
  }
}

function send(token, entry) {
  if (!entry.photo) {
    return asked(token, places.actions, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(entry.action),
    });
  }
  const form = new FormData();
  for (const [key, value] of Object.entries(entry.action)) {
    if (value !== undefined && value !== null) form.set(key, typeof value === "object" ? JSON.stringify(value) : value);
  }
  form.set("photo", entry.photo, "photo.jpg");
  return asked(token, places.actions, { method: "POST", body: form });
}

function say(token, action, text) {
  return store.change(token, (kept) => kept.said.push({ placement: action.placement ?? null, text }));
}

// An action that will never be taken is set aside where the hanger sees it, not lost.
async function refuse(token, entry, why) {
  await store.change(token, (kept) => kept.refused.push({ kind: entry.action.kind, placement: entry.action.placement ?? null, why }));
  await store.unqueue(entry.id);
}

async function fetchJob(token) {
  const before = await store.job(token);
  const headers = before?.job ? { "If-None-Match": `"${before.job.version}"` } : {};
  const answer = await asked(token, places.job, { headers });
  if (answer.status === 401 || answer.status === 403) throw new LinkGone(await detail(answer));
  if (answer.status !== 304) {
    if (!answer.ok) throw new Error(await detail(answer));
    const job = await answer.json();
    await store.change(token, (kept) => {
      kept.job = job;
      kept.sequence = Math.max(kept.sequence, job.sequences[kept.device] ?? 0);
    });
  }
  const kept = await store.change(token, (one) => {
    one.fetched = new Date().toISOString();
    one.gone = "";
  });
  await fetchPictures(token, kept.job);
  return kept;
}

async function fetchPictures(token, job) {
  for (const piece of job.pieces) {
    if (!piece.picture || (await store.picture(token, `${piece.placement}-${piece.picture}`))) continue;
    const answer = await asked(token, places.pictures.replace(/0\/$/, `${piece.placement}/`));
    if (answer.ok) await store.keepPicture(token, `${piece.placement}-${piece.picture}`, await answer.blob());
  }
}
