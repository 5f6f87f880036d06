// Art: ticking pieces, showing only the measures that the chosen hardware has.

for (const form of document.querySelectorAll("[data-ticks]")) {
  const all = form.querySelector("[data-tick-all]");
  const count = form.querySelector("[data-tick-count]");
  const ticks = () => [...form.querySelectorAll('input[name="work"]')];
  const tell = () => {
    const ticked = ticks().filter((tick) => tick.checked).length;
    count.textContent = ticked ? `${ticked} ticked` : "";
  };
  all?.addEventListener("change", () => { ticks().forEach((tick) => { tick.checked = all.checked; }); tell(); });
  form.addEventListener("change", tell);
}

const MEASURES = {
  wire: ["below_top", "inset", "length"], two_rings: ["below_top", "spacing"], sawtooth: ["below_top"],
  cleat: ["below_top"], keyholes: ["below_top", "spacing"],
};
const kind = document.querySelector('select[name="hang_kind"]');
if (kind) {
  const show = () => {
    for (const name of ["below_top", "inset", "length", "spacing"]) {
      const field = document.querySelector(`input[name="hang_${name}_mm"]`)?.closest(".field");
      if (field) field.hidden = !(MEASURES[kind.value] ?? []).includes(name);
    }
  };
  kind.addEventListener("change", show);
  show();
}
