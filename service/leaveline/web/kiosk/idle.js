// Starting again when nobody is there: after a while a question, then a clean page.

import { $ } from "./controls.js";
import { wishes } from "./setup.js";
import { state } from "./state.js";
import { say, texts } from "./texts.js";

const IDLE_S = 120;
const WARNING_S = 20;

export function watchIdle(startAgain) {
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
    } else if (left <= Math.min(WARNING_S, total / 2) && state.standing.size) {
      $("idle-text").textContent = say(texts.idleText, { seconds: left });
      if (!$("idle").open) $("idle").showModal();
    }
  }, 1000);
}
