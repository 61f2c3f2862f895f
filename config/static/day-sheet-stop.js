"use strict";
/* STOP: one tap, on the device at once and on its way. The reason has time. A stop of others is told as loud. */

(() => {
  const bar = document.querySelector("[data-stop-bar]");
  if (!bar) return;
  const button = bar.querySelector("[data-stop]"), after = bar.querySelector("[data-stopped]");
  const reason = after.querySelector("input"), say = after.querySelector("button"), told = bar.querySelector("[role=status]");
  let heard = "";

  async function stop(text) {
    try {
      await daySync.add("stop", { reason: text });
    } catch {
      told.textContent = "This phone could not keep the STOP, and nobody else has it. Shout it, use the radio, and press again.";
      return false;
    }
    daySync.send();
    return true;
  }

  button.addEventListener("click", async () => {
    button.disabled = true;
    const kept = await stop("STOP pressed on the run screen");
    navigator.vibrate?.(200);
    button.disabled = false;
    if (!kept) return;
    const clock = new Date().toLocaleTimeString("en-AU", { hour: "2-digit", minute: "2-digit" });
    told.textContent = `Stopped at ${clock}. Nothing more is driven until the engineer decides.`;
    button.hidden = true;
    after.hidden = false;
  });

  say.addEventListener("click", async () => {
    if (!reason.value.trim()) return reason.focus();
    if (!(await stop(reason.value.trim()))) return;
    after.hidden = true;
    told.textContent += " The reason is kept.";
  });

  /* What stops the runs arrives from other phones while somebody is writing, perhaps three steps below the line that says why. */
  function listen() {
    const news = daySync.state().masses.filter((one) => one.stopped).map((one) => one.reason).join(" ");
    if (news === heard) return;
    heard = news;
    if (!news) {
      button.hidden = false;
      told.textContent = "";
    } else if (!button.hidden) {
      told.textContent = news;
      if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.([200, 100, 200]);
    }
  }

  document.addEventListener("day-sheet-changed", listen);
  listen();
})();
