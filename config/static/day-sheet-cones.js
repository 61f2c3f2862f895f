"use strict";
/* The cones of the drawing and the numbered boxes below it say the same. */

const dayCones = (form, course, changed) => {
  const box = (number) => form.querySelector(`input[name=cones][value="${number}"]`);
  const chosen = () => [...form.querySelectorAll("input[name=cones]:checked")].map((ticked) => ticked.value);

  function mark() {
    for (const cone of course.querySelectorAll("[data-cone]")) cone.classList.toggle("moved", chosen().includes(cone.dataset.cone));
  }

  course.addEventListener("click", (event) => {
    const cone = event.target.closest("[data-cone]");
    if (!cone) return;
    box(cone.dataset.cone).checked = !box(cone.dataset.cone).checked;
    mark();
    changed();
  });

  return { chosen, mark };
};
