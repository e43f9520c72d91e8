// Drawing a signature with finger, pen or mouse into a box of 1000 by 400. Who cannot or will not draw types a name.
"use strict";

const field = document.querySelector("[data-pad]");
const pad = field.querySelector("canvas");
const kept = document.getElementById("id_strokes");
const said = field.querySelector("[data-said]");
const ink = pad.getContext("2d");
const MOST_POINTS = 4000;
const MOST_STROKES = 80;
const LEAST_POINTS = 8;
let strokes = before();
let drawing = false;

field.hidden = false;
paint();
keep();

// What was drawn before the form came back with something to mend.
function before() {
  try {
    const drawn = JSON.parse(kept.value || "[]");
    return Array.isArray(drawn) && drawn.every(Array.isArray) ? drawn : [];
  } catch {
    return [];
  }
}

function isTooShort() {
  return strokes.length > 0 && count() < LEAST_POINTS;
}

function place(event) {
  const box = pad.getBoundingClientRect();
  const at = (value, start, size, most) => Math.min(most, Math.max(0, Math.round(((value - start) / size) * most)));
  return [at(event.clientX, box.left, box.width, pad.width), at(event.clientY, box.top, box.height, pad.height)];
}

function count() {
  return strokes.reduce((sum, stroke) => sum + stroke.length / 2, 0);
}

function paint() {
  ink.clearRect(0, 0, pad.width, pad.height);
  ink.strokeStyle = getComputedStyle(pad).color;
  ink.lineWidth = 8;
  ink.lineCap = ink.lineJoin = "round";
  for (const stroke of strokes) {
    ink.beginPath();
    ink.moveTo(stroke[0], stroke[1]);
    for (let at = 2; at < stroke.length; at += 2) ink.lineTo(stroke[at], stroke[at + 1]);
    if (stroke.length === 2) ink.lineTo(stroke[0] + 1, stroke[1]);
    ink.stroke();
  }
}

function keep() {
  kept.value = strokes.length ? JSON.stringify(strokes) : "";
  const good = strokes.length ? "Drawn. It goes with your typed name." : "";
  said.textContent = isTooShort() ? "Too short for a signature. Draw your name, or clear the drawing." : good;
  said.classList.toggle("error", isTooShort());
}

pad.addEventListener("pointerdown", (event) => {
  if (strokes.length >= MOST_STROKES || count() >= MOST_POINTS) return;
  drawing = true;
  pad.setPointerCapture(event.pointerId);
  strokes.push(place(event));
  paint();
});

pad.addEventListener("pointermove", (event) => {
  if (!drawing || count() >= MOST_POINTS) return;
  const stroke = strokes[strokes.length - 1];
  const [x, y] = place(event);
  // Points closer than this say nothing more and only fill the form.
  if (Math.hypot(x - stroke[stroke.length - 2], y - stroke[stroke.length - 1]) < 4) return;
  stroke.push(x, y);
  paint();
});

for (const name of ["pointerup", "pointercancel"]) {
  pad.addEventListener(name, () => {
    drawing = false;
    keep();
  });
}

field.closest("form").addEventListener("submit", (event) => {
  if (!isTooShort()) return;
  event.preventDefault();
  field.querySelector("[data-clear]").focus();
});

field.querySelector("[data-clear]").addEventListener("click", () => {
  strokes = [];
  paint();
  keep();
});
