"use strict";
// Keeps the ticks, calls what comes next, draws the box. It asks for nothing outside this file.
(() => {
  const make = (tag, props, ...inside) => {
    const one = Object.assign(document.createElement(tag), props);
    one.append(...inside);
    return one;
  };

  // ---- ticks, in the order in which they were set
  const key = `workshop ${document.documentElement.dataset.job}`;
  const boxes = [...document.querySelectorAll("[data-tick]")];
  const byName = new Map(boxes.map((box) => [box.dataset.tick, box]));
  const bar = document.getElementById("next");
  const told = make("p", {});
  const back = make("button", { type: "button", textContent: "Undo" });
  const go = make("button", { type: "button", textContent: "Done", className: "go" });
  let done = [];

  const kept = () => {
    try {
      localStorage.setItem(key, JSON.stringify(done));
      return true;
    } catch {
      return false; // a preview, or a window that keeps nothing
    }
  };
  const read = () => {
    try {
      const names = JSON.parse(localStorage.getItem(key) || "[]");
      done = names.filter((name) => byName.has(name));
    } catch {
      done = [];
    }
  };
  const next = () => boxes.find((box) => !box.checked);
  const show = () => {
    const set = new Set(done);
    for (const box of boxes) box.checked = set.has(box.dataset.tick);
    for (const line of document.querySelectorAll(".line"))
      line.classList.toggle("all", !line.querySelector("input:not(:checked)"));
    const coming = next();
    told.textContent = coming ? `Next: ${coming.dataset.next}` : "All done";
    go.disabled = !coming;
    back.disabled = !done.length;
    document.getElementById("kept").textContent = `${done.length} of ${boxes.length} done. ${
      stays ? "Ticks stay in this browser." : "This browser keeps no ticks: they are gone when the page is closed."}`;
  };
  const change = (names) => {
    done = names;
    stays = kept();
    show();
  };
  const toMiddle = (box) => box?.closest(".line, .step, li").scrollIntoView({ block: "center" });

  read();
  let stays = kept();
  for (const box of boxes)
    box.addEventListener("change", () => {
      const others = done.filter((name) => name !== box.dataset.tick);
      change(box.checked ? [...others, box.dataset.tick] : others);
    });
  go.addEventListener("click", () => {
    change([...done, next().dataset.tick]);
    toMiddle(next());
  });
  back.addEventListener("click", () => {
    const last = byName.get(done.at(-1));
    change(done.slice(0, -1));
    toMiddle(last);
  });
  addEventListener("storage", () => {
    read();
    show();
  });
  bar.append(told, back, go);
  bar.hidden = !boxes.length;
  if (done.length) document.getElementById("cautions").open = false; // they were read
  show();
  document.documentElement.dataset.ready = "";

  // ---- the box
  const data = document.getElementById("box");
  const stage = document.getElementById("stage");
  if (data) drawBox(JSON.parse(data.textContent).boards);

  function drawBox(boards) {
    const canvas = make("canvas", {});
    const gl = canvas.getContext("webgl", { antialias: true, alpha: true });
    if (!gl) return; // the still picture stays

    // ---- vectors and matrices: columns one after the other, as WebGL takes them
    const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    const less = (a, b) => a.map((x, i) => x - b[i]);
    const along = (a, b, by) => a.map((x, i) => x + b[i] * by);
    const unit = (a) => a.map((x) => x / Math.hypot(...a));
    const middle = (points) => points[0].map((_, i) => points.reduce((sum, p) => sum + p[i], 0) / points.length);

    // ---- each board: its prism, where it is
    for (const board of boards) {
      board.n = cross(board.g, board.a);
      const at = ([x, y], z) => along(along(along(board.f, board.g, x), board.a, y), board.n, z);
      board.low = board.o.map((p) => at(p, 0));
      board.high = board.o.map((p) => at(p, board.t));
      board.middle = middle([...board.low, ...board.high]);
    }
    const corners = boards.flatMap((board) => [...board.low, ...board.high]);
    const least = [0, 1, 2].map((i) => Math.min(...corners.map((p) => p[i])));
    const most = [0, 1, 2].map((i) => Math.max(...corners.map((p) => p[i])));
    const centre = middle([least, most]);
    const reach = Math.hypot(...less(most, least)) / 2;
    for (const board of boards) {
      const panel = middle(boards.filter((one) => one.p === board.p).map((one) => one.middle));
      board.away = along(less(panel, centre).map((x) => x * 1.1), less(board.middle, centre), 0.3);
    }

    // ---- buffers: place, normal, place in the board's own wood; then the edges' places
    const faces = [];
    const edges = [];
    boards.forEach((board, number) => {
      const { o, low, high, t, n } = board;
      const corner = (i, up, normal) => [...(up ? high : low)[i], ...normal, o[i][0], o[i][1] + number * 97, up ? t : 0];
      board.first = faces.length / 9;
      board.edge = edges.length / 3;
      for (let i = 1; i + 1 < o.length; i++)
        for (const up of [false, true])
          for (const k of [0, i, i + 1]) faces.push(...corner(k, up, up ? n : n.map((x) => -x)));
      for (let i = 0; i < o.length; i++) {
        const j = (i + 1) % o.length;
        const side = unit(cross(less(low[j], low[i]), n));
        for (const [k, up] of [[i, false], [j, false], [j, true], [i, false], [j, true], [i, true]])
          faces.push(...corner(k, up, side));
        edges.push(...low[i], ...low[j], ...high[i], ...high[j], ...low[i], ...high[i]);
      }
      board.count = faces.length / 9 - board.first;
      board.edges = edges.length / 3 - board.edge;
    });
    const buffer = (numbers) => {
      const one = gl.createBuffer();
      gl.bindBuffer(gl.ARRAY_BUFFER, one);
      gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(numbers), gl.STATIC_DRAW);
      return one;
    };
    const ground = reach * 3;
    const buffers = {
      faces: buffer(faces),
      edges: buffer(edges),
      ground: buffer([[-1, -1], [1, -1], [1, 1], [-1, -1], [1, 1], [-1, 1]].flatMap(([x, y]) => [x * ground, y * ground, 0])),
    };

    // ---- one program for all three kinds
    const vertex = `
      attribute vec3 place, normal, wood;
      uniform mat4 view; uniform vec3 away;
      varying vec3 p, n, w;
      void main() { p = place; n = normal; w = wood; gl_Position = view * vec4(place + away, 1.0); }`;
    const fragment = `
      precision highp float;
      varying vec3 p, n, w;
      uniform vec3 colour, sun, low, high; uniform float kind, alpha;
      float hash(vec2 a) { return fract(sin(dot(a, vec2(12.9898, 78.233))) * 43758.5453); }
      float noise(vec2 a) {
        vec2 i = floor(a), f = fract(a); f = f * f * (3.0 - 2.0 * f);
        return mix(mix(hash(i), hash(i + vec2(1, 0)), f.x), mix(hash(i + vec2(0, 1)), hash(i + vec2(1, 1)), f.x), f.y);
      }
      void main() {
        if (kind > 1.5) { // the shade on the ground, softer away from the foot
          vec2 out_ = max(max(low.xy - p.xy, p.xy - high.xy), 0.0);
          gl_FragColor = vec4(0, 0, 0, 0.45 * exp(-length(out_) / (0.12 * (high.z - low.z))));
          return;
        }
        if (kind > 0.5) { gl_FragColor = vec4(colour * 0.3, 0.75) * alpha; return; }
        // growth rings of a log whose heart runs beside the board, wavy along the grain
        float ring = length(vec2(fract(w.y * 0.0131) * 260.0 - 130.0 + 0.5 * w.z, 60.0 + w.z))
          + 9.0 * noise(vec2(w.x * 0.006, w.y * 0.03));
        float late = smoothstep(0.45, 0.95, fract(ring / 5.5));
        vec3 grain = colour * (1.0 - 0.13 * late - 0.06 * noise(w.xy * vec2(0.05, 1.3)));
        // what faces the inside gets darker towards the floor
        vec3 heart = 0.5 * (low + high);
        float inward = step(0.5, abs(n.x) + abs(n.y)) * step(dot(n.xy, p.xy - heart.xy), 0.0);
        float deep = clamp((high.z - p.z) / (high.z - low.z), 0.0, 1.0);
        float light = 0.72 + 0.1 * n.z + 0.5 * max(0.0, dot(normalize(n), sun));
        gl_FragColor = vec4(grain * light * (1.0 - 0.45 * inward * deep), 1.0) * alpha;
      }`;
    const program = gl.createProgram();
    for (const [type, text] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
      const shader = gl.createShader(type);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      gl.attachShader(program, shader);
    }
    gl.linkProgram(program);
    if (!gl.getProgramParameter(program, gl.LINK_STATUS)) return;
    gl.useProgram(program);
    const uniform = (name) => gl.getUniformLocation(program, name);
    const slots = ["place", "normal", "wood"].map((name) => gl.getAttribLocation(program, name));
    const use = (name, wide) => {
      gl.bindBuffer(gl.ARRAY_BUFFER, buffers[name]);
      slots.forEach((slot, i) => {
        if (slot < 0) return;
        if (wide || i === 0) {
          gl.enableVertexAttribArray(slot);
          gl.vertexAttribPointer(slot, 3, gl.FLOAT, false, wide ? 36 : 12, 12 * i);
        } else gl.disableVertexAttribArray(slot);
      });
    };

    // ---- the camera, and a frame
    const state = { turn: 0.6, rise: 0.38, apart: 0, mark: "" };
    const tangent = Math.tan(0.26); // half of the angle of view
    /** From how far all boards are in the picture, whichever way it is turned: mm. */
    const distance = (rise, narrow) => {
      let far = 0;
      for (const { low, high, away } of boards)
        for (const corner of [...low, ...high]) {
          const [x, y, z] = along(less(corner, centre), away, state.apart);
          const round = Math.hypot(x, y);
          // turned so that it is farthest to the side, nearest, farthest away
          far = Math.max(far, round * Math.hypot(1 / (tangent * narrow), Math.cos(rise)) + z * Math.sin(rise));
          for (const near of [round, -round]) {
            const up = Math.abs(z * Math.cos(rise) - near * Math.sin(rise)) / tangent;
            far = Math.max(far, up + near * Math.cos(rise) + z * Math.sin(rise));
          }
        }
      return far * 1.03;
    };
    const eye = () => {
      const { turn, rise } = state;
      const far = distance(rise, canvas.clientWidth / canvas.clientHeight);
      const back_ = [Math.cos(rise) * Math.sin(turn), -Math.cos(rise) * Math.cos(turn), Math.sin(rise)];
      const right = unit(cross([0, 0, 1], back_));
      return { far, back: back_, right, up: cross(back_, right), at: along(centre, back_, far) };
    };
    const viewOf = ({ far, back: b, right: r, up: u, at }) => {
      const x = (tangent * canvas.clientWidth) / canvas.clientHeight;
      const near = far / 20;
      const end = far * 4;
      const depth = (end + near) / (near - end);
      const rows = [
        [...r.map((v) => v / x), -dot(r, at) / x],
        [...u.map((v) => v / tangent), -dot(u, at) / tangent],
        [...b.map((v) => v * depth), -dot(b, at) * depth + (2 * end * near) / (near - end)],
        [...b.map((v) => -v), dot(b, at)],
      ];
      return [0, 1, 2, 3].flatMap((column) => rows.map((row) => row[column]));
    };
    const rgb = (text) => [1, 3, 5].map((i) => parseInt(text.slice(i, i + 2), 16) / 255);
    const picked = (board) => state.mark && board.m === state.mark;

    const frame = () => {
      const sharp = Math.min(2, devicePixelRatio);
      const [width, height] = [canvas.clientWidth * sharp, canvas.clientHeight * sharp].map(Math.round);
      if (!width || !height) return;
      if (canvas.width !== width || canvas.height !== height) Object.assign(canvas, { width, height });
      const seen = eye();
      gl.viewport(0, 0, width, height);
      gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
      gl.enable(gl.DEPTH_TEST);
      gl.depthFunc(gl.LEQUAL);
      gl.enable(gl.BLEND);
      gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
      gl.uniformMatrix4fv(uniform("view"), false, viewOf(seen));
      // the sun goes round with who looks, so that no side is ever dark
      gl.uniform3fv(uniform("sun"), unit(along(along(seen.back, seen.right, -0.6), [0, 0, 1], 0.9)));
      gl.uniform3fv(uniform("low"), least);
      gl.uniform3fv(uniform("high"), most);
      const paint = (board, alpha) => {
        gl.uniform3fv(uniform("away"), board.away.map((x) => x * state.apart));
        gl.uniform1f(uniform("alpha"), alpha);
        gl.uniform3fv(uniform("colour"), picked(board) ? [0.16, 0.5, 0.85] : rgb(board.c));
      };
      const all = (chosen, alpha) => {
        gl.depthMask(alpha === 1);
        use("faces", true);
        gl.uniform1f(uniform("kind"), 0);
        gl.enable(gl.POLYGON_OFFSET_FILL);
        gl.polygonOffset(1, 1);
        for (const board of chosen) {
          paint(board, alpha);
          gl.drawArrays(gl.TRIANGLES, board.first, board.count);
        }
        gl.disable(gl.POLYGON_OFFSET_FILL);
        use("edges", false);
        gl.uniform1f(uniform("kind"), 1);
        for (const board of chosen) {
          paint(board, alpha);
          gl.drawArrays(gl.LINES, board.edge, board.edges);
        }
      };
      if (state.apart < 0.02) {
        gl.depthMask(false);
        use("ground", false);
        gl.uniform1f(uniform("kind"), 2);
        gl.uniform3fv(uniform("away"), [0, 0, least[2]]);
        gl.drawArrays(gl.TRIANGLES, 0, 6);
      }
      const some = boards.filter(picked);
      all(some, 1);
      all(boards.filter((board) => !picked(board)), some.length ? 0.25 : 1);
      canvas.dataset.drawn = 1 + Number(canvas.dataset.drawn || 0);
    };
    let waiting = 0;
    const draw = () => {
      waiting ||= requestAnimationFrame(() => {
        waiting = 0;
        frame();
      });
    };

    /** The mark of the board under a place of the window; empty for none. */
    const markAt = (x, y) => {
      const { left, top, width, height } = canvas.getBoundingClientRect();
      const seen = eye();
      const across = ((((x - left) / width) * 2 - 1) * tangent * width) / height;
      const up = (1 - ((y - top) / height) * 2) * tangent;
      const ray = along(along(seen.back.map((v) => -v), seen.right, across), seen.up, up);
      let nearest = [Infinity, ""];
      for (const board of boards) {
        // in the board's own frame it is what lies between two faces and inside of the outline
        const from = less(along(seen.at, board.away, -state.apart), board.f);
        const [a, b] = [from, ray].map((v) => [dot(v, board.g), dot(v, board.a), dot(v, board.n)]);
        let [enter, leave] = [0, Infinity];
        const keep = (inside, rate) => { // inside + rate * t >= 0
          if (rate > 0) enter = Math.max(enter, -inside / rate);
          else if (rate < 0) leave = Math.min(leave, -inside / rate);
          else if (inside < 0) leave = -1;
        };
        keep(a[2], b[2]);
        keep(board.t - a[2], -b[2]);
        board.o.forEach(([px, py], i) => {
          const [qx, qy] = board.o[(i + 1) % board.o.length];
          const side = ([sx, sy]) => (qx - px) * sy - (qy - py) * sx;
          keep(side([a[0] - px, a[1] - py]), side(b));
        });
        if (enter < leave && enter < nearest[0]) nearest = [enter, board.m];
      }
      return nearest[1];
    };

    // ---- what is pressed
    const rows = [...document.querySelectorAll("[data-mark]")];
    const line = document.getElementById("told");
    const choose = (mark) => {
      state.mark = mark;
      for (const row of rows) row.open = row.dataset.mark === mark;
      const row = rows.find((one) => one.dataset.mark === mark);
      line.textContent = row ? row.firstElementChild.textContent : "Touch a board, or open a part.";
      draw();
    };
    for (const row of rows)
      row.addEventListener("toggle", () => {
        if (row.open && state.mark !== row.dataset.mark) choose(row.dataset.mark);
        else if (!row.open && state.mark === row.dataset.mark) choose("");
      });
    const range = (text, least_, most_, value, set) => {
      const input = make("input", { type: "range", min: least_, max: most_, step: 0.01 });
      input.value = value;
      input.addEventListener("input", () => {
        set(Number(input.value));
        draw();
      });
      return [make("label", {}, text, input), input];
    };
    const [turning, turned] = range("Turn", -3.14, 3.14, state.turn, (to) => { state.turn = to; });
    const [pulling] = range("Pull apart", 0, 1, 0, (to) => { state.apart = to; });
    let held = null;
    let far = 0;
    canvas.addEventListener("pointerdown", (event) => {
      held = [event.clientX, event.clientY];
      far = 0;
      canvas.setPointerCapture(event.pointerId);
    });
    canvas.addEventListener("pointermove", (event) => {
      if (!held) return;
      const [dx, dy] = [event.clientX - held[0], event.clientY - held[1]];
      far += Math.hypot(dx, dy);
      held = [event.clientX, event.clientY];
      const turn = state.turn - dx * 0.009;
      state.turn = Math.atan2(Math.sin(turn), Math.cos(turn));
      state.rise = Math.min(1.45, Math.max(0.05, state.rise + dy * 0.007));
      turned.value = state.turn;
      draw();
    });
    canvas.addEventListener("pointerup", (event) => {
      held = null;
      if (far < 6) choose(markAt(event.clientX, event.clientY)); // a gloved finger rolls a little
    });
    canvas.addEventListener("pointercancel", () => { held = null; });
    canvas.addEventListener("webglcontextlost", () => location.reload());
    canvas.setAttribute("role", "img");
    canvas.setAttribute("aria-label", "The box; the parts below tell what is shown");
    stage.replaceChildren(canvas, make("div", { className: "ways" }, turning, pulling));
    new ResizeObserver(draw).observe(canvas);
    choose("");
  }
})();
