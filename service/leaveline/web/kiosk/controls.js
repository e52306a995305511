// The page's own controls: choices, numbers with large buttons, tabs, racks, images.

import { say, texts } from "./texts.js";

export const $ = (id) => document.getElementById(id);
const SVG = "http://www.w3.org/2000/svg";
const COLUMN = [0, 0, -1, 1, -2, 0, 2, -3, -1, 1, 3];
const ROW = [0, 0, 1, 1, 2, 2, 2, 3, 3, 3, 3];
export const MIRROR = [0, 1, 3, 2, 6, 5, 4, 10, 9, 8, 7];

// An element with its properties, or just its text.
export function make(tag, properties = {}, ...children) {
  const given = typeof properties === "string" ? { textContent: properties } : properties;
  const element = Object.assign(document.createElement(tag), given);
  element.append(...children);
  return element;
}

export function show(image, source) {
  image.hidden = !source;
  if (source) image.src = source;
}

// Fill in every text that the page's markup asks for by name.
export function fillTexts(root = document) {
  for (const element of root.querySelectorAll("[data-text]")) {
    element.textContent = texts[element.dataset.text];
  }
  for (const element of root.querySelectorAll("[data-label]")) {
    element.setAttribute("aria-label", texts[element.dataset.label]);
  }
}

export function fillChoices(root = document, suffix = "") {
  for (const box of root.querySelectorAll("[data-choices]")) {
    const { choices, name, checked } = box.dataset;
    for (const [value, text] of Object.entries(texts[choices])) {
      const input = make("input", { type: "radio", name, value, defaultChecked: value === checked });
      input.id = `${name}-${value}${suffix}`;
      box.append(input, make("label", { htmlFor: input.id, textContent: text }));
    }
  }
  for (const select of root.querySelectorAll("[data-options]")) {
    const named = Object.entries(texts[select.dataset.options]);
    // The most usual comes first: numbers, which a script always lists upwards, are turned round.
    if (select.dataset.options === "ratios") named.reverse();
    for (const [value, text] of named) select.append(make("option", { value, textContent: text }));
  }
}

// A number with large buttons for less and more. Its range is the contract's.
export function fillNumbers(root, schemaOf, suffix = "") {
  for (const box of root.querySelectorAll("[data-number]")) {
    const { number, caption, value, step } = box.dataset;
    const schema = schemaOf(number);
    const label = texts[caption];
    const input = make("input", {
      type: "number", inputMode: "decimal", name: number, id: number + suffix,
      min: schema.minimum, max: schema.maximum, step: "any", defaultValue: value, required: true,
    });
    const turn = (sign, said, symbol) => {
      const button = make("button", { type: "button", textContent: symbol, className: "turn" });
      button.setAttribute("aria-label", say(said, { label }));
      button.addEventListener("click", () => {
        const next = Math.round((Number(input.value) + sign * step) / step) * step;
        input.value = Number(Math.min(Math.max(next, input.min), input.max).toFixed(3));
        input.dispatchEvent(new Event("input", { bubbles: true }));
      });
      return button;
    };
    box.className = "number";
    box.append(
      make("label", { htmlFor: input.id, textContent: label }),
      turn(-1, texts.less, "−"), input, turn(1, texts.more, "+"),
    );
  }
}

export function selectTab(list, chosen) {
  for (const tab of list.children) {
    const is = tab === chosen;
    tab.setAttribute("aria-selected", is);
    tab.tabIndex = is ? 0 : -1;
    $(tab.getAttribute("aria-controls")).hidden = !is;
  }
}

export function moveAlong(list, event) {
  const tabs = [...list.children];
  const at = tabs.indexOf(document.activeElement);
  const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: tabs.length - 1 }[event.key];
  if (to === undefined || at < 0) return;
  event.preventDefault();
  const tab = tabs[(to + tabs.length) % tabs.length];
  tab.focus();
  tab.click();
}

// The ten pins as buttons, as the bowler sees them, in the order of their numbers.
export function drawPins(box, onTap) {
  return Array.from({ length: 10 }, (_, i) => {
    const button = make("button", { type: "button", textContent: String(i + 1), className: "pin" });
    button.style.gridArea = `${4 - ROW[i + 1]} / ${COLUMN[i + 1] + 4} / auto / span 2`;
    button.setAttribute("aria-label", say(texts.pin, { pin: i + 1 }));
    button.setAttribute("aria-pressed", false);
    button.addEventListener("click", () => onTap(i + 1));
    box.append(button);
    return button;
  });
}

export function smallRack(pins) {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", "-42 -58 84 68");
  for (let pin = 1; pin <= 10; pin++) {
    const dot = document.createElementNS(SVG, "circle");
    dot.setAttribute("cx", 11 * COLUMN[pin]);
    dot.setAttribute("cy", -16 * ROW[pin]);
    dot.setAttribute("r", pins.has(pin) ? 8 : 2);
    svg.append(dot);
  }
  return svg;
}
