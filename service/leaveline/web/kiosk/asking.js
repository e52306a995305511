// What is asked: from the page's controls to a request's body, and the questions themselves.

import { $ } from "./controls.js";
import { ask } from "./service.js";
import { leave } from "./state.js";

export const LINES = "/v1/lines";
export const ADVICE = "/v1/advice";
const LINES_AT_MOST = 3; // for each play

export function settings() {
  const data = new FormData($("settings"));
  const bowler = { hand: data.get("hand") };
  const level = data.get("level");
  if (level === "own") {
    bowler.spread = numbers($("own-spread"), "bowler.spread.");
  } else {
    bowler.level = level;
  }
  const stance = changed($("settings"), "bowler.stance.");
  if (Object.keys(stance).length) bowler.stance = stance;
  const ball = changed($("settings"), "bowler.ball.");
  if (data.get("cover")) ball.cover = data.get("cover");
  if (Object.keys(ball).length) bowler.ball = ball;
  if (ball.cover && data.get("release") === "own") {
    bowler.release = numbers($("own-release"), "bowler.release.");
  }
  const body = { leave: leave(), bowler };
  if (data.get("oil")) {
    body.lane = { oil: { length_ft: Number(data.get("oil")), ratio: Number(data.get("ratio")) } };
  }
  return body;
}

export function numbers(root, prefix) {
  return Object.fromEntries(
    [...root.querySelectorAll("input[type=number]")]
      .filter((input) => input.name.startsWith(prefix))
      .map((input) => [input.name.slice(prefix.length), input.valueAsNumber]),
  );
}

function changed(root, prefix) {
  const usual = (name) => Number(root.elements[prefix + name].defaultValue);
  const all = Object.entries(numbers(root, prefix));
  return Object.fromEntries(all.filter(([name, value]) => value !== usual(name)));
}

// A few words go by GET, which caches may keep; anything more by POST.
function inWords({ bowler, lane }) {
  const { hand, level, ...more } = bowler;
  if (!level || Object.keys(more).length || (lane && lane.oil.ratio !== 10)) return undefined;
  const query = new URLSearchParams({ hand, level });
  if (lane) query.set("oil_length_ft", lane.oil.length_ft);
  return query;
}

export function askLines(body, signal) {
  const query = inWords(body);
  if (query) return ask(`${LINES}/${body.leave}?${query}`, { signal });
  return ask(LINES, { body: { ...body, play: "both", limit: LINES_AT_MOST }, signal });
}

// A picture as the source of an image.
export async function askPicture(body, kind, line, signal) {
  const accept = "image/svg+xml";
  const query = inWords(body);
  const which = `kind=${kind}&line=${line}`;
  const svg = query
    ? await ask(`/v1/pictures/${body.leave}.svg?${query}&${which}`, { accept, signal })
    : await ask(`${LINES}?${which}`, {
      body: { play: "both", limit: LINES_AT_MOST, ...body }, accept, signal,
    });
  return `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg)}`;
}
