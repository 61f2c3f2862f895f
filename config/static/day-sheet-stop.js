"use strict";
/* STOP: one tap, on the device at once and on its way. The reason has time. */

(() => {
  const bar = document.querySelector("[data-stop-bar]");
  if (!bar) return;
  const button = bar.querySelector("[data-stop]"), after = bar.querySelector("[data-stopped]");
  const reason = after.querySelector("input"), say = after.querySelector("button"), told = bar.querySelector("[role=status]");

  async function stop(text) {
    await daySync.add("stop", { reason: text });
    daySync.send();
  }

  button.addEventListener("click", async () => {
    button.disabled = true;
    await stop("STOP pressed on the run screen");
    navigator.vibrate?.(200);
    const clock = new Date().toLocaleTimeString("en-AU", { hour: "2-digit", minute: "2-digit" });
    told.textContent = `Stopped at ${clock}. Nothing more is driven until the engineer decides.`;
    button.hidden = true;
    after.hidden = false;
  });

  say.addEventListener("click", async () => {
    if (!reason.value.trim()) return reason.focus();
    await stop(reason.value.trim());
    after.hidden = true;
    told.textContent += " The reason is kept.";
  });
})();
