// Sends what waits, in order, and fetches the newest job. Safe to call at any time, from any tab.

import * as store from "./store.js";

/**
 * @typedef {import("./store.js").Kept} Kept
 * @typedef {import("./job.js").Entry} Entry
 * @typedef {{ job: string, actions: string, pictures: string }} Places where the office takes and gives; the address of
 *   pictures ends in 0/, for the placement's number
 */

/**
 * @param {string} token
 * @param {string} address
 * @param {RequestInit} [options]
 */
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

/** @param {Response} answer @returns {Promise<string>} */
async function detail(answer) {
  const problem = await answer.json().catch(() => ({}));
  return problem.detail ?? `The office answered ${answer.status}.`;
}

/**
 * One tab at a time.
 * @template T
 * @param {() => Promise<T>} work
 * @returns {Promise<T>}
 */
function alone(work) {
  return navigator.locks ? navigator.locks.request("hanging-sync", work) : work();
}

/**
 * @param {string} token
 * @param {Places} places
 */
export function sync(token, places) {
  return alone(async () => {
    await sendAll(token, places);
    return fetchJob(token, places);
  });
}

/**
 * @param {string} token
 * @param {Places} places
 */
async function sendAll(token, places) {
  let renumbered = false;
  for (;;) {
    const [next] = await store.waiting(token);
    if (!next) return;
    const answer = await send(token, next, places);
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

/**
 * @param {string} token
 * @param {Entry} entry
 * @param {Places} places
 */
function send(token, entry, places) {
  if (!entry.photo) {
    return asked(token, places.actions, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(entry.action),
    });
  }
  const form = new FormData();
  for (const [key, value] of Object.entries(entry.action)) {
    if (value !== undefined && value !== null) form.set(key, typeof value === "object" ? JSON.stringify(value) : String(value));
  }
  form.set("photo", entry.photo, "photo.jpg");
  return asked(token, places.actions, { method: "POST", body: form });
}

/**
 * @param {string} token
 * @param {import("./job.js").Action} action
 * @param {string} text
 */
function say(token, { placement }, text) {
  return store.change(token, (kept) => kept.said.push({ placement: placement ?? null, text }));
}

/**
 * An action that will never be taken is set aside where the hanger sees it, not lost.
 * @param {string} token
 * @param {Entry} entry
 * @param {string} why
 */
async function refuse(token, { id, action }, why) {
  await store.change(token, (kept) => kept.refused.push({ kind: action.kind, placement: action.placement ?? null, why }));
  await store.unqueue(id);
}

/**
 * @param {string} token
 * @param {Places} places
 */
async function fetchJob(token, places) {
  const before = await store.job(token);
  const known = before?.job && { headers: { "If-None-Match": `"${before.job.version}"` } };
  const answer = await asked(token, places.job, known);
  if (answer.status === 401 || answer.status === 403) throw new LinkGone(await detail(answer));
  if (answer.status !== 304) {
    if (!answer.ok) throw new Error(await detail(answer));
    /** @type {import("./job.js").Job} */
    const job = await answer.json();
    await store.change(token, (kept) => {
      kept.job = job;
      kept.sequence = Math.max(kept.sequence, job.sequences[kept.device] ?? 0);
    });
  }
  const kept = await store.change(token, (record) => {
    record.fetched = new Date().toISOString();
    record.gone = "";
  });
  if (kept.job) await fetchPictures(token, kept.job, places);
  return kept;
}

/**
 * @param {string} token
 * @param {import("./job.js").Job} job
 * @param {Places} places
 */
async function fetchPictures(token, job, places) {
  for (const piece of job.pieces) {
    if (!piece.picture || (await store.picture(token, `${piece.placement}-${piece.picture}`))) continue;
    const answer = await asked(token, places.pictures.replace(/0\/$/, `${piece.placement}/`));
    if (answer.ok) await store.keepPicture(token, `${piece.placement}-${piece.picture}`, await answer.blob());
  }
}
