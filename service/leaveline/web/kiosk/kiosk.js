// The kiosk page: from the pins that stand to the line, its picture and what to do with it.
// Everything lives in the page; nothing is stored, nothing leaves for another host.

import {
  $, MIRROR, drawPins, fillChoices, fillNumbers, fillTexts, make, moveAlong, selectTab, smallRack,
} from "./controls.js";
import { Away, Contract, Refused, ask, backAgain, useKey } from "./service.js";
import { say, texts } from "./texts.js";

const LINES = "/v1/lines";
const ADVICE = "/v1/advice";
const IDLE_S = 120;
const WARNING_S = 20;
const LINES_AT_MOST = 3; // for each play
const wishes = new URLSearchParams(location.search); // a house may set hand, level, oil_ft, idle_s

const standing = new Set();
let contract;
let pinButtons;
let answer;
let chosen = 0;
let waiting = false;
const running = new Map(); // what is being asked, by what it is for

const board = (value) => number(value, 1);
const number = (value, digits) =>
  new Intl.NumberFormat(texts.lang, { maximumFractionDigits: digits }).format(value);
const chance = (p) => `${number(100 * p, 100 * p < 10 || (100 * p > 99 && p < 0.9995) ? 1 : 0)}\u00a0%`;
const leave = () => [...standing].sort((a, b) => a - b).join("-");

// ---- What is asked ----

function settings() {
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

function numbers(root, prefix) {
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

function askLines(body, signal) {
  const query = inWords(body);
  if (query) return ask(`${LINES}/${body.leave}?${query}`, { signal });
  return ask(LINES, { body: { ...body, play: "both", limit: LINES_AT_MOST }, signal });
}

async function askPicture(body, kind, line, signal) {
  const accept = "image/svg+xml";
  const query = inWords(body);
  let svg;
  if (query && contract.has("/v1/pictures/{leave}.svg")) {
    query.set("kind", kind);
    query.set("line", line);
    svg = await ask(`/v1/pictures/${body.leave}.svg?${query}`, { accept, signal });
  } else if (contract.draws(LINES, "post")) {
    const whole = { play: "both", limit: LINES_AT_MOST, ...body };
    svg = await ask(`${LINES}?kind=${kind}&line=${line}`, { body: whole, accept, signal });
  } else {
    return "";
  }
  return `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg)}`;
}

// Run one question of a kind at a time: a newer one stops the older, which then gives undefined;
// one that fails gives null.
async function only(kind, work) {
  running.get(kind)?.abort();
  const mine = new AbortController();
  running.set(kind, mine);
  try {
    return await work(mine.signal);
  } catch (error) {
    if (mine.signal.aborted) return undefined;
    trouble(error);
    return null;
  }
}

async function trouble(error) {
  if (error instanceof Refused) {
    if (error.status === 401) {
      $("key-form").hidden = false;
      $("key").focus();
      return;
    }
    const id = error.problem.request_id;
    const text = error.status >= 500 ? say(texts.failed, { id })
      : say(texts.refused, { detail: error.message });
    showRefused(text);
    return;
  }
  if (!(error instanceof Away)) throw error;
  if (waiting) return;
  waiting = true;
  $("away").hidden = false;
  await backAgain();
  waiting = false;
  $("away").hidden = true;
  if (!contract) await start();
  else refresh();
}

function showRefused(text) {
  $("refused").textContent = text ?? "";
  $("refused").hidden = !text;
}

// ---- The line ----

async function refresh() {
  showRefused();
  describeSetup();
  pinButtons.forEach((button, i) => button.setAttribute("aria-pressed", standing.has(i + 1)));
  $("empty").hidden = standing.size > 0;
  if (!standing.size) {
    hideAnswer();
    return;
  }
  const wrong = $("settings").querySelector(":invalid:not(fieldset)");
  if (wrong) {
    showRefused(wrong.validationMessage);
    return;
  }
  const body = settings();
  $("answer").setAttribute("aria-busy", true);
  // The picture of the best line is wanted in any case, so both are asked for at once.
  const drawing = drawLane(body, 0);
  const reply = await only("line", (signal) => askLines(body, signal));
  if (reply === undefined) return;
  $("answer").setAttribute("aria-busy", false);
  if (!reply) {
    hideAnswer();
    return;
  }
  answer = { ...reply, body };
  $("leave").textContent = answer.leave;
  $("solved").hidden = false;
  listLines();
  chooseLine(0);
  showView();
  await drawing;
}

// An answer to another question is never left standing.
function hideAnswer() {
  answer = undefined;
  for (const asked of running.values()) asked.abort();
  $("leave").textContent = texts.answerTitle;
  for (const id of ["solved", "picture", "glance"]) $(id).hidden = true;
  for (const id of ["lane", "carry"]) show($(id), undefined);
  fillCard();
}

// The lines for the spare, and the best one for count where it is another.
function worthShowing(lines) {
  const same = (a, b) => a.stand_board === b.stand_board && a.target_board === b.target_board;
  const all = lines.map((line, index) => ({ line, index }));
  const spares = all.filter(({ line }) => line.play === "spare");
  const best = all.find(({ line }) => line.play === "count");
  const isNew = best && !spares.some(({ line }) => same(line, best.line));
  return isNew ? [...spares, best] : spares;
}

function chooseLine(index) {
  chosen = index;
  const line = answer.lines[index];
  for (const button of $("others").children) {
    button.setAttribute("aria-pressed", Number(button.dataset.index) === index);
  }
  $("stand").textContent = board(line.stand_board);
  $("target").textContent = board(line.target_board);
  $("lay-down").textContent = board(line.lay_down_board);
  $("at-pins").textContent = board(line.board_at_pins);
  $("makes").textContent = chance(line.make_probability);
  const all = answer.leave.split("-").length;
  $("count-pins").textContent =
    line.play === "count" ? say(texts.countPins, { pins: number(line.expected_pins, 1), all }) : "";
  $("words").textContent = line.words;
  $("spoken").textContent =
    `${answer.leave}. ${say(texts.option, { stand: board(line.stand_board), target: board(line.target_board) })}. ` +
    `${texts.makes}: ${chance(line.make_probability)}.`;
  $("miss-room").textContent = missRoom(line);
  $("if-missed").replaceChildren(missed(line, "left"), missed(line, "right"));
  $("cautions").replaceChildren(...line.cautions.map((caution) => make("li", {
    textContent: say(texts.caution[caution.code] ?? caution.code, {
      side: texts.sides[caution.side],
      pins: caution.leaves_pins.join("-"),
      chance: chance(caution.probability),
    }),
  })));
  $("glance").textContent = say(texts.glance, {
    stand: board(line.stand_board), target: board(line.target_board), chance: chance(line.make_probability),
  });
  $("glance").hidden = false;
  $("lane").alt = say(texts.pictureAlt, { words: line.words });
  fillCard();
}

function listLines() {
  $("others").replaceChildren(...worthShowing(answer.lines).map(({ line, index }, place) => {
    const values = { stand: board(line.stand_board), target: board(line.target_board) };
    const worth = line.play === "count"
      ? `${texts.forCount} ${number(line.expected_pins, 1)}`
      : `${texts.forSpare} ${chance(line.make_probability)}`;
    const button = make("button", { type: "button" },
      make("b", { textContent: String(place + 1) }),
      make("span", { textContent: say(texts.option, values) }),
      make("b", { textContent: worth }));
    button.dataset.index = index;
    button.addEventListener("click", () => {
      chooseLine(index);
      drawLane(answer.body, index);
    });
    return button;
  }));
}

function missRoom({ miss_room: { left_boards: left, right_boards: right } }, none = texts.missRoomNone) {
  if (left === 0 && right === 0) return none;
  return say(texts.missRoomSides, { left: board(left), right: board(right) });
}

function missed(line, side) {
  const { probability, remainders } = line.if_missed[side];
  const title = side === "left" ? texts.missedLeft : texts.missedRight;
  const left = remainders
    .filter((remainder) => remainder.probability >= 0.005)
    .map((r) => say(texts.leaves, { pins: r.leave, chance: chance(r.probability) }));
  return make("p", {},
    make("b", { textContent: say(title, { chance: chance(probability) }) }), ` ${left.join(", ")}`);
}

async function drawLane(body, index) {
  $("picture").setAttribute("aria-busy", true);
  const source = await only("lane", (signal) => askPicture(body, "lane", index, signal));
  if (source === undefined || body.leave !== leave()) return;
  show($("lane"), source);
  $("picture").hidden = $("main").dataset.view === "balls";
  $("no-picture").hidden = Boolean(source);
  $("picture").setAttribute("aria-busy", false);
  fillCard();
}

function show(image, source) {
  image.hidden = !source;
  if (source) image.src = source;
}

// ---- The other views ----

function showView() {
  const view = $("views").querySelector("[aria-selected=true]").dataset.view;
  $("main").dataset.view = view;
  if (!answer) return;
  $("picture").hidden = view === "balls";
  if (view === "carry") drawCarry();
  if (view === "balls") compareBalls();
  if (view === "count") $("advice").replaceChildren();
}

async function drawCarry() {
  const { body } = answer;
  const source = await only("carry", (signal) => askPicture(body, "carry", 0, signal));
  if (source === undefined) return;
  $("carry").alt = say(texts.carryAlt, { leave: body.leave });
  show($("carry"), source);
}

function ballOf(form) {
  const data = new FormData(form);
  const ball = { ...answer.body.bowler.ball, cover: data.get("cover") };
  const release = data.get("release") === "own" ? { release: numbers(form, "bowler.release.") } : {};
  const { release: _, ...bowler } = answer.body.bowler;
  return { ...answer.body, bowler: { ...bowler, ball, ...release } };
}

async function compareBalls() {
  const forms = [...document.querySelectorAll(".one-ball")];
  if (forms.some((form) => !form.checkValidity())) return;
  const lines = await Promise.all(forms.map(async (form) => {
    const body = { ...ballOf(form), play: "spare", limit: 1 };
    const name = form.dataset.ball;
    const [reply, source] = await Promise.all([
      only(`ball ${name}`, (signal) => ask(LINES, { body, signal })),
      only(`ball picture ${name}`, (signal) => askPicture(body, "lane", 0, signal)),
    ]);
    if (!reply) return undefined;
    const line = reply.lines[0];
    document.querySelector(`output[data-ball=${name}]`).replaceChildren(
      make("span", { textContent: texts.ballName[name] }),
      make("b", { textContent: chance(line.make_probability) }),
      make("span", { textContent: say(texts.standTarget, {
        stand: board(line.stand_board), target: board(line.target_board),
      }) }),
      make("span", { textContent: say(texts.missRoomShort, { room: missRoom(line, texts.missRoomShortNone) }) }),
    );
    const image = form.querySelector("img");
    image.alt = say(texts.pictureAlt, { words: line.words });
    show(image, source);
    return line;
  }));
  if (lines.every(Boolean)) $("verdict").textContent = verdict(lines, forms);
}

function verdict([a, b], forms) {
  const more = a.make_probability - b.make_probability;
  if (Math.abs(more) < 2 * Math.hypot(a.standard_error, b.standard_error)) return texts.ballsEven;
  const better = texts.ballName[forms[more > 0 ? 0 : 1].dataset.ball];
  return say(texts.ballsVerdict, { better, more: number(100 * Math.abs(more), 0) });
}

async function askAdvice(event) {
  event.preventDefault();
  const form = $("situation");
  const kind = new FormData(form).get("kind");
  const situation = { kind };
  const own = rolls(form.elements.own_rolls.value);
  if (own.length) situation.own_rolls = own;
  const level = answer.body.bowler.level;
  if (level) situation.own_strength = { level };
  if (kind === "match") situation.opponent_rolls = rolls(form.elements.opponent_rolls.value);
  if (kind === "cut") Object.assign(situation, numbers(form, "situation."));
  const reply = await only("advice", (signal) =>
    ask(ADVICE, { body: { ...answer.body, situation }, signal }));
  if (!reply) return;
  showRefused();
  const row = (play) => {
    const { line, make_probability: makes, [reply.maximised]: value } = reply.plays[play];
    const worth = reply.maximised === "expected_score" ? number(value, 1) : chance(value);
    return make("div", { className: play === reply.play ? "better" : "" },
      make("h3", { textContent: play === "spare" ? texts.playSpare : texts.playCount }),
      make("p", { textContent: `${texts.maximised[reply.maximised]}: ${worth}` }),
      make("p", { textContent: `${texts.makes}: ${chance(makes)}` }),
      make("p", { textContent: say(texts.standTarget, {
        stand: board(line.stand_board), target: board(line.target_board),
      }) }));
  };
  $("advice").replaceChildren(
    make("p", { className: "words", textContent: reply.words }),
    make("div", { className: "pair" }, row("spare"), row("count")),
  );
}

// A sheet's symbols, with or without spaces between them.
function rolls(text) {
  return [...text.toUpperCase().replaceAll(/[\s,|]/g, "")];
}

// ---- The card ----

// Filled as soon as there is a line, so that whatever way it is printed, the card is there.
function fillCard() {
  $("card").hidden = !answer;
  if (!answer) return;
  const line = answer.lines[chosen];
  $("card-leave").textContent = answer.leave;
  $("card-setup").textContent = say(texts.cardFor, { setup: $("setup").textContent });
  $("card-rack").replaceChildren(smallRack(standing));
  $("card-stand").textContent = board(line.stand_board);
  $("card-target").textContent = board(line.target_board);
  $("card-words").textContent = line.words;
  const { left_boards: left, right_boards: right } = line.miss_room;
  $("card-room").textContent = left || right ? `${texts.missRoom}: ${missRoom(line)}` : "";
  $("card-caveats").replaceChildren(...caveats());
  show($("card-picture"), $("lane").hidden ? undefined : $("lane").src);
}

const caveats = () => texts.caveats.map((textContent) => make("li", { textContent }));

// ---- Setting up ----

function describeSetup() {
  const data = new FormData($("settings"));
  const feet = data.get("oil");
  $("setup").textContent = say(texts.setup, {
    hand: texts.hands[data.get("hand")],
    level: data.get("level") === "own" ? texts.ownNumbers : texts.levels[data.get("level")],
    ball: texts.covers[data.get("cover") ?? ""],
    oil: feet ? say(texts.oilShort.known, { feet }) : texts.oilShort.unknown,
  });
  $("own-spread").hidden = data.get("level") !== "own";
  if ($("release")) $("release").hidden = !data.get("cover");
  $("own-release").hidden = data.get("release") !== "own";
  if ($("ratio")) $("ratio").hidden = !feet;
}

function tap(pin) {
  if (!standing.delete(pin)) standing.add(pin);
  refresh();
}

function startAgain() {
  standing.clear();
  for (const form of document.forms) form.reset();
  $("key-form").hidden = true;
  $("advice").replaceChildren();
  $("verdict").textContent = "";
  showKinds();
  selectTab($("views"), $("views").firstElementChild);
  refresh();
  scrollTo(0, 0);
}

function showKinds() {
  const kind = new FormData($("situation")).get("kind");
  for (const box of $("situation").querySelectorAll("[data-kinds]")) {
    box.hidden = !box.dataset.kinds.split(" ").includes(kind);
  }
  $("situation").elements.own_rolls.required = kind === "match";
}

function fillBallForms(schemaOf) {
  for (const form of document.querySelectorAll(".one-ball")) {
    const name = form.dataset.ball;
    const release = $("release").cloneNode(true);
    release.removeAttribute("id");
    release.hidden = false;
    const own = release.querySelector("#own-release");
    own.id = `own-release-${name}`;
    const choices = release.querySelector("[data-choices]");
    choices.dataset.checked = form.dataset.release;
    choices.replaceChildren();
    const cover = make("select", { name: "cover" });
    cover.setAttribute("aria-label", texts.ball);
    for (const value of schemaOf("bowler.ball.cover").enum) {
      const usual = value === form.dataset.cover;
      cover.append(make("option", { value, textContent: texts.covers[value] ?? value, defaultSelected: usual }));
    }
    form.append(
      make("div", {}, make("h3", { textContent: texts.ballName[name] }), cover, release),
      make("img", { alt: "", hidden: true }));
    fillTexts(form);
    fillChoices(form, `-${name}`);
    fillNumbers(form, schemaOf, `-${name}`);
    const update = () => {
      own.hidden = new FormData(form).get("release") !== "own";
    };
    form.addEventListener("input", () => { update(); compareBalls(); });
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("reset", () => setTimeout(update));
    update();
  }
}

// Nothing is shown that the service cannot do.
function fitToContract() {
  const schemaOf = (dotted) => contract.field(dotted.startsWith("situation.") ? ADVICE : LINES, dotted);
  const views = ["line"];
  if (contract.has("/v1/pictures/{leave}.svg")) views.push("carry");
  if (schemaOf("bowler.ball.cover")) views.push("balls");
  if (contract.has(ADVICE)) views.push("count");
  for (const view of views) {
    const tab = make("button", { type: "button", id: `tab-${view}`, textContent: texts.views[view] });
    tab.setAttribute("role", "tab");
    tab.setAttribute("aria-controls", `view-${view}`);
    tab.dataset.view = view;
    tab.addEventListener("click", () => { selectTab($("views"), tab); showView(); });
    $("views").append(tab);
  }
  selectTab($("views"), $("views").firstElementChild);
  const length = schemaOf("lane.oil.length_ft");
  const oil = $("settings").elements.oil;
  oil.append(make("option", { value: "", textContent: texts.oilUnknown }));
  for (let feet = Math.ceil(length?.minimum); feet <= length?.maximum; feet++) {
    oil.append(make("option", { value: feet, textContent: say(texts.oilFeet, { feet }) }));
  }
  if (views.includes("balls")) fillBallForms(schemaOf);
  for (const box of $("settings").querySelectorAll("[data-field]")) {
    if (!schemaOf(box.dataset.field)) box.remove();
  }
  fillNumbers($("settings"), schemaOf);
  fillNumbers($("situation"), schemaOf);
  for (const [name, wish] of [["hand", "hand"], ["level", "level"], ["oil", "oil_ft"]]) {
    const field = $("settings").elements[name];
    const wanted = wishes.get(wish);
    if (!wanted || !field) continue;
    for (const input of field.options ?? field) {
      input.defaultSelected = input.defaultChecked = input.value === wanted;
    }
  }
  $("settings").reset();
}

function watchIdle() {
  let left;
  const total = Number(wishes.get("idle_s")) || IDLE_S;
  const again = () => {
    left = total;
    if ($("idle").open) $("idle").close();
  };
  for (const kind of ["pointerdown", "keydown", "wheel"]) addEventListener(kind, again, { passive: true });
  again();
  setInterval(() => {
    left -= 1;
    if (left <= 0) {
      again();
      startAgain();
    } else if (left <= Math.min(WARNING_S, total / 2) && standing.size) {
      $("idle-text").textContent = say(texts.idleText, { seconds: left });
      if (!$("idle").open) $("idle").showModal();
    }
  }, 1000);
}

function listen() {
  $("clear").addEventListener("click", () => { standing.clear(); refresh(); });
  $("mirror").addEventListener("click", () => {
    const pins = [...standing].map((pin) => MIRROR[pin]);
    standing.clear();
    for (const pin of pins) standing.add(pin);
    refresh();
  });
  $("start-again").addEventListener("click", startAgain);
  $("settings").addEventListener("input", refresh);
  $("settings").addEventListener("submit", (event) => event.preventDefault());
  $("situation").addEventListener("input", () => { showKinds(); $("advice").replaceChildren(); });
  $("situation").addEventListener("submit", askAdvice);
  $("views").addEventListener("keydown", (event) => moveAlong($("views"), event));
  $("print").addEventListener("click", () => print());
  $("key-form").addEventListener("submit", (event) => {
    event.preventDefault();
    useKey($("key").value);
    $("key-form").reset();
    $("key-form").hidden = true;
    refresh();
  });
  addEventListener("keydown", (event) => {
    const typing = event.target.matches("input:not([type=radio]), select") || $("idle").open;
    if (typing || event.ctrlKey || event.metaKey || event.altKey || !/^\d$/.test(event.key)) return;
    tap(Number(event.key) || 10);
  });
}

async function start() {
  const document_ = await only("contract", (signal) => ask("/openapi.json", { signal }));
  if (!document_) return;
  contract = new Contract(document_);
  fitToContract();
  showKinds();
  listen();
  watchIdle();
  refresh();
  document.body.dataset.ready = "yes";
}

document.documentElement.lang = texts.lang;
document.title = texts.title;
fillTexts();
fillChoices();
pinButtons = drawPins($("pins"), tap);
$("caveats").replaceChildren(...caveats());
$("more").open = matchMedia("(min-width: 720px)").matches;
start();
