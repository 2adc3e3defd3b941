"use strict";
(() => {
  const data = JSON.parse(document.getElementById("shake-data").textContent);
  const slider = document.getElementById("road-speed");
  const said = document.getElementById("road-speed-said");
  const cells = [...document.querySelectorAll("#shake-forces .force")];
  const lines = [...document.querySelectorAll("#shake .at")];
  const text = (n) => n >= 10 ? n.toFixed(0) : n.toFixed(n < 1 ? 2 : 1);
  const force = (series, speed) => {
    const at = series ? speed - series[0] : -1;
    if (at < 0 || at >= series[1].length) return "–";
    const [read, low, high] = series.slice(1).map((values) => text(values[at]));
    return `${read}\n${low} to ${high}`;
  };
  const show = () => {
    const speed = Number(slider.value);
    const turns = speed * data.hz;
    const words = `${speed} ${data.unit}: shafts ${(speed * data.rpm).toFixed(0)} rpm, ` +
      `once per turn ${turns.toFixed(1)} Hz, twice per turn ${(2 * turns).toFixed(1)} Hz`;
    said.textContent = words;
    slider.setAttribute("aria-valuetext", words);
    data.rows.flatMap((row) => row.force).forEach((series, k) => {
      cells[k].textContent = force(series, speed);
    });
    for (const line of lines) {
      const { first, last, left, right } = line.dataset;
      const share = (speed - first) / (last - first);
      line.hidden = share < 0 || share > 1;
      line.style.left = `${Number(left) + share * (right - left)}%`;
    }
  };
  slider.addEventListener("input", show);
  for (const part of document.querySelectorAll("#shake .live")) part.hidden = false;
  show();
})();
