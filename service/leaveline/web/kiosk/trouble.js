// One question of a kind at a time, and what is said when a question goes wrong.

import { $ } from "./controls.js";
import { Away, Refused, backAgain } from "./service.js";
import { say, texts } from "./texts.js";

const running = new Map(); // what is being asked, by what it is for
let waiting = false;
let goOn;

// What to do once the service answers again.
export function whenBack(action) { goOn = action; }

// A newer question of a kind stops the older, which then gives undefined; one that fails, null.
export async function only(kind, work) {
  running.get(kind)?.abort();
  const mine = new AbortController();
  running.set(kind, mine);
  try {
    return await work(mine.signal);
  } catch (error) {
    if (mine.signal.aborted) return undefined;
    explain(error);
    return null;
  }
}

export function stopAll() {
  for (const asked of running.values()) asked.abort();
}

export function showRefused(text) {
  $("refused").textContent = text ?? "";
  $("refused").hidden = !text;
}

async function explain(error) {
  if (error instanceof Refused) {
    if (error.status === 401) {
      $("key-form").hidden = false;
      $("key").focus();
    } else if (error.status >= 500) {
      showRefused(say(texts.failed, { id: error.problem.request_id }));
    } else {
      showRefused(say(texts.refused, { detail: error.message }));
    }
    return;
  }
  if (!(error instanceof Away)) throw error;
  if (waiting) return;
  waiting = true;
  $("away").hidden = false;
  await backAgain();
  waiting = false;
  $("away").hidden = true;
  goOn();
}
