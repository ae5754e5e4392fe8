"use strict";
(() => {
  const data = JSON.parse(document.getElementById("poses").textContent);
  const NS = "http://www.w3.org/2000/svg";
  const stage = document.getElementById("stage"), slider = document.getElementById("pose");
  const [x0, y0, x1, y1] = data.window;
  stage.setAttribute("viewBox", `${x0} ${-y1} ${x1 - x0} ${y1 - y0}`);
  const add = (name, attributes, parent = stage) => {
    const node = document.createElementNS(NS, name);
    for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
    parent.appendChild(node);
    return node;
  };
  const outline = (rings, close) => rings.map(r => "M" + r.map(p => `${p[0]} ${-p[1]}`).join("L") + (close ? "Z" : "")).join("");
  const FILL = { bay: "#d9d9d9", engine: "#f3dbe7", hot: "#fbe3b4", line: "none" }, EDGE = { bay: "#666", engine: "#8a4a6c", hot: "#9a6a00", line: "#666" };
  const ghost = add("path", { d: outline(data.keep_out, true), fill: "#009e73", "fill-opacity": 0.1, "fill-rule": "evenodd", stroke: "#009e73", "stroke-width": 2.5 });
  for (const item of data.bay) {
    const shape = add("path", { d: outline(item.rings, item.kind !== "line"), fill: FILL[item.kind], stroke: EDGE[item.kind], "stroke-width": 2, "fill-rule": "evenodd" });
    if (item.kind === "line") shape.setAttribute("stroke-dasharray", "14 6");
    add("title", {}, shape).textContent = item.name;
  }
  // a bar with round ends is a thick line under a slightly thinner one
  const parts = data.parts.map(part => {
    const layer = add("g", {});
    const draw = (colour, width) => part.closed || part.poses[0].length === 2
      ? add(part.closed ? "path" : "circle", part.closed ? { fill: "#fff", "fill-opacity": 0.8, stroke: colour, "stroke-width": 4 } : { r: part.radius, fill: "#fff", "fill-opacity": 0.75, stroke: "#1a1a1a", "stroke-width": 4 }, layer)
      : add("path", { stroke: colour, "stroke-width": width, "stroke-linecap": "round", fill: "none" }, layer);
    const bar = !part.closed && part.poses[0].length > 2;
    const nodes = bar ? [draw("#1a1a1a", 2 * part.radius), draw("#fff", 2 * part.radius - 6)] : [draw("#1a1a1a", 4)];
    add("title", {}, layer).textContent = part.name;
    return { part, nodes };
  });
  const body = document.querySelector("#readout tbody");
  const cells = data.columns.concat(data.tightest.length ? [{ name: "tightest pair", unit: "" }] : []).map(column => {
    const row = body.insertRow();
    row.insertCell().textContent = column.name;
    const cell = row.insertCell();
    cell.className = "n";
    return { cell, column };
  });
  const show = i => {
    for (const { part, nodes } of parts) {
      const p = part.poses[i], points = [];
      for (let k = 0; k < p.length; k += 2) points.push([p[k], p[k + 1]]);
      for (const node of nodes) {
        if (node.tagName === "circle") { node.setAttribute("cx", p[0]); node.setAttribute("cy", -p[1]); }
        else node.setAttribute("d", outline([points], part.closed));
      }
    }
    cells.forEach(({ cell, column }, k) => {
      const value = k < data.columns.length ? data.rows[i][k] : data.tightest[i];
      cell.textContent = typeof value === "number" ? `${value.toFixed(column.decimals)} ${column.unit}` : value === null ? "–" : value;
    });
  };
  slider.max = data.rows.length - 1;
  slider.addEventListener("input", () => show(Number(slider.value)));
  document.getElementById("ghost").addEventListener("change", event => { ghost.style.display = event.target.checked ? "" : "none"; });
  let timer = null;
  const play = document.getElementById("play");
  play.addEventListener("click", () => {
    if (timer) { clearInterval(timer); timer = null; play.textContent = "Play"; return; }
    play.textContent = "Stop";
    timer = setInterval(() => { slider.value = (Number(slider.value) + 1) % data.rows.length; show(Number(slider.value)); }, 60);
  });
  for (const table of document.querySelectorAll("table.sorts")) {
    const heads = [...table.tHead.rows[0].cells];
    heads.forEach((head, k) => {
      head.tabIndex = 0;
      const sort = () => {
        const down = head.getAttribute("aria-sort") === "ascending";
        heads.forEach(h => h.removeAttribute("aria-sort"));
        head.setAttribute("aria-sort", down ? "descending" : "ascending");
        const key = row => row.cells[k].dataset.v !== undefined ? Number(row.cells[k].dataset.v) : row.cells[k].textContent;
        const rows = [...table.tBodies[0].rows].sort((a, b) => { const p = key(a), q = key(b); return typeof p === "number" && typeof q === "number" ? p - q : String(p).localeCompare(String(q), "en", { numeric: true }); });
        if (down) rows.reverse();
        rows.forEach(row => table.tBodies[0].appendChild(row));
      };
      head.addEventListener("click", sort);
      head.addEventListener("keydown", event => { if (event.key === "Enter") sort(); });
    });
  }
  show(0);
})();
