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

/** The office broke down over one action: it may be this action, or all of the office. */
class Broken extends Error {
  /**
   * @param {Entry} entry
   * @param {string} why
   * @param {boolean} forbidden
   */
  constructor(entry, why, forbidden) {
    super(why);
    this.entry = entry;
    this.forbidden = forbidden;
  }
}

const LATER = [408, 425, 429];
/** How often the office may break down over an action, while it answers otherwise, before the others go on without it. */
const MOST_FAILURES = 3;

/**
 * Send what waits of the job that a link opens, and fetch the job as it is now.
 * @param {string} link
 * @param {Places} places
 * @returns {Promise<Kept>}
 */
export function sync(link, places) {
  return alone(async () => {
    const known = await store.byLink(link);
    const kept = known ?? (await fetchJob(link, places));
    if (!known && !(await store.waiting(kept.id)).length) return kept;
    // The links of one job are as good as one another: what one does not open, another may.
    const links = [link, ...kept.links.filter((each) => each !== link)];
    for (const each of links) {
      try {
        return await exchange(each, kept, places);
      } catch (error) {
        if (!(error instanceof LinkGone) || each === links.at(-1)) throw error;
      }
    }
    return kept;
  });
}

/**
 * @param {string} link
 * @param {Kept} kept
 * @param {Places} places
 * @returns {Promise<Kept>}
 */
async function exchange(link, kept, places) {
  try {
    await sendAll(link, kept.id, places);
  } catch (error) {
    if (!(error instanceof Broken)) throw error;
    const gone = await answers(link, places, kept);
    if (gone && error.forbidden) throw gone;
    if ((await store.failed(error.entry.id)) < MOST_FAILURES) throw error;
    await store.setAside(error.entry.id, `${error.message} The office's computer failed on it ${MOST_FAILURES} times.`);
    return exchange(link, kept, places);
  }
  return fetchJob(link, places, kept);
}

/**
 * See whether the office answers otherwise: this fails where all of the office is down, and the action is not to blame.
 * @param {string} link
 * @param {Places} places
 * @param {Kept} kept
 * @returns {Promise<LinkGone | null>} where the link shows nothing any more
 */
async function answers(link, places, kept) {
  try {
    await fetchJob(link, places, kept);
  } catch (error) {
    if (!(error instanceof LinkGone)) throw error;
    return error;
  }
  return null;
}

/**
 * @param {string} link
 * @param {number} id the job's
 * @param {Places} places
 */
async function sendAll(link, id, places) {
  let renumbered = false;
  for (;;) {
    const [next] = await store.waiting(id);
    if (!next) return;
    const answer = await send(link, next, places);
    if (answer.ok) {
      await taken(id, next, await answer.json());
      renumbered = false;
      continue;
    }
    const { status } = answer;
    const problem = await answer.json().catch(() => ({}));
    const why = problem.detail ?? `The office answered ${status}.`;
    if (status === 401) throw new LinkGone(why);
    if (status === 403 || status === 500) throw new Broken(next, why, status === 403);
    if (status < 400 || status > 499 || LATER.includes(status)) throw new Error(why); // busy or away: try again later
    if (status === 409 && problem.expected !== undefined && !renumbered) {
      await store.renumber(id, problem.expected);
      renumbered = true;
    } else {
      await store.setAside(next.id, why);
    }
  }
}

/**
 * @param {number} id the job's
 * @param {Entry} entry
 * @param {{ conflict?: string, late?: boolean }} outcome
 */
async function taken(id, { id: entry, action }, { conflict, late }) {
  const text = conflict || (late && "The job was closed before this came: the office has it as a late note.");
  if (text) await store.change(id, (kept) => kept.said.push({ placement: action.placement ?? null, text }));
  await store.unqueue(entry);
}

/**
 * The moment of sending goes along: by it the office knows how far the phone's clock is out.
 * @param {string} link
 * @param {Entry} entry
 * @param {Places} places
 */
function send(link, entry, places) {
  const action = { ...entry.action, sent_at: new Date().toISOString() };
  if (!entry.photo) {
    return asked(link, places.actions, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(action),
    });
  }
  const form = new FormData();
  for (const [key, value] of Object.entries(action)) {
    if (value !== undefined && value !== null) form.set(key, typeof value === "object" ? JSON.stringify(value) : String(value));
  }
  form.set("photo", entry.photo, "photo.jpg");
  return asked(link, places.actions, { method: "POST", body: form });
}

/**
 * @param {string} link
 * @param {Places} places
 * @param {Kept} [before] the job as it is kept
 * @returns {Promise<Kept>}
 */
async function fetchJob(link, places, before) {
  const answer = await asked(link, places.job, before && { headers: { "If-None-Match": `"${before.job.version}"` } });
  if (answer.status === 401 || answer.status === 403) throw new LinkGone(await detail(answer));
  if (!answer.ok && answer.status !== 304) throw new Error(await detail(answer));
  const job = answer.status === 304 && before ? before.job : await answer.json();
  const kept = await store.adopt(link, job);
  await fetchPictures(link, kept, places);
  return kept;
}

/**
 * @param {string} link
 * @param {Kept} kept
 * @param {Places} places
 */
async function fetchPictures(link, { id, job }, places) {
  for (const piece of job.pieces) {
    if (!piece.picture || (await store.picture(id, `${piece.placement}-${piece.picture}`))) continue;
    const answer = await asked(link, places.pictures.replace(/0\/$/, `${piece.placement}/`));
    if (answer.ok) await store.keepPicture(id, `${piece.placement}-${piece.picture}`, await answer.blob());
  }
}
