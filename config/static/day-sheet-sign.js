"use strict";
/* Signing on the screen with a finger or a pen. The typed name is the signature; the drawing goes with it. */

(() => {
  const field = document.querySelector("input[data-strokes]");
  if (!field) return;
  const WIDTH = 600, HEIGHT = 200;
  const NS = "http://www.w3.org/2000/svg";
  const pad = document.createElementNS(NS, "svg");
  const path = document.createElementNS(NS, "path");
  const clear = Object.assign(document.createElement("button"), { type: "button", className: "plain", textContent: "Clear the drawing" });
  const label = Object.assign(document.createElement("p"), { className: "form-label", textContent: "Draw your signature" });
  for (const [name, value] of Object.entries({ class: "drawing signature pad", viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: "img", "aria-label": "Field to draw your signature in" })) pad.setAttribute(name, value);
  path.setAttribute("class", "line");
  pad.append(path);
  let strokes = field.value ? JSON.parse(field.value) : [];

  function draw() {
    path.setAttribute("d", strokes.map((stroke) => "M" + stroke.map((point) => point.join(" ")).join(" L")).join(" "));
    field.value = strokes.length ? JSON.stringify(strokes) : "";
  }

  function point(event) {
    const box = pad.getBoundingClientRect();
    const within = (value, most) => Math.round(Math.min(most, Math.max(0, value)) * 10) / 10;
    return [within(((event.clientX - box.left) / box.width) * WIDTH, WIDTH), within(((event.clientY - box.top) / box.height) * HEIGHT, HEIGHT)];
  }

  pad.addEventListener("pointerdown", (event) => {
    pad.setPointerCapture(event.pointerId);
    strokes.push([point(event)]);
    draw();
  });
  pad.addEventListener("pointermove", (event) => {
    if (!pad.hasPointerCapture(event.pointerId)) return;
    strokes.at(-1).push(point(event));
    draw();
  });
  clear.addEventListener("click", () => { strokes = []; draw(); });
  field.form.querySelector(".actions").before(label, pad, clear);
  draw();
})();
