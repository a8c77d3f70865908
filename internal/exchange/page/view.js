// Draws the scans of a parcel in a page that was opened from a file system: no network, no
// library. It shows and measures nothing.
"use strict";
(() => {
  const data = JSON.parse(document.getElementById("scene").textContent);
  const canvas = document.querySelector("canvas");
  const gl = canvas.getContext("webgl", { antialias: true, preserveDrawingBuffer: true });
  const wide = gl && gl.getExtension("OES_element_index_uint");
  if (!wide) {
    document.body.classList.add("flat");
    return;
  }
  const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0));

  // What is drawn: each surface with normals, and lines.
  const program = (vertex, fragment) => {
    const p = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
      const s = gl.createShader(kind);
      gl.shaderSource(s, text);
      gl.compileShader(s);
      gl.attachShader(p, s);
    }
    gl.linkProgram(p);
    return p;
  };
  const solid = program(
    "attribute vec3 p; attribute vec3 n; attribute vec3 c; uniform mat4 m; uniform mat3 r; varying vec3 v; varying vec3 k; void main() { v = r * n; k = c; gl_Position = m * vec4(p, 1.0); }",
    "precision mediump float; varying vec3 v; varying vec3 k; void main() { float d = abs(normalize(v).z); gl_FragColor = vec4(k * (0.25 + 0.75 * d), 1.0); }",
  );
  const thin = program(
    "attribute vec3 p; uniform mat4 m; void main() { gl_Position = m * vec4(p, 1.0); gl_Position.z -= 0.002; gl_PointSize = 4.0; }",
    "precision mediump float; uniform vec3 k; void main() { gl_FragColor = vec4(k, 1.0); }",
  );
  const buffer = (kind, values) => {
    const b = gl.createBuffer();
    gl.bindBuffer(kind, b);
    gl.bufferData(kind, values, gl.STATIC_DRAW);
    return b;
  };
  const surface = (s) => {
    const q = new Uint16Array(bytes(s.points).buffer);
    const tri = new Uint32Array(bytes(s.triangles).buffer);
    const own = s.colours ? bytes(s.colours) : null;
    const n = q.length / 3;
    const p = new Float32Array(3 * n), normal = new Float32Array(3 * n), colour = new Float32Array(3 * n);
    for (let i = 0; i < 3 * n; i++) {
      p[i] = s.origin[i % 3] + s.step * q[i] - data.middle[i % 3];
      colour[i] = own ? own[i] / 255 : s.ink[i % 3];
    }
    for (let t = 0; t < tri.length; t += 3) {
      const [a, b, c] = [3 * tri[t], 3 * tri[t + 1], 3 * tri[t + 2]];
      const u = [0, 1, 2].map((k) => p[b + k] - p[a + k]), w = [0, 1, 2].map((k) => p[c + k] - p[a + k]);
      const x = [u[1] * w[2] - u[2] * w[1], u[2] * w[0] - u[0] * w[2], u[0] * w[1] - u[1] * w[0]];
      for (const o of [a, b, c]) for (let k = 0; k < 3; k++) normal[o + k] += x[k];
    }
    return {
      name: s.name, on: s.on, count: tri.length, p: buffer(gl.ARRAY_BUFFER, p), n: buffer(gl.ARRAY_BUFFER, normal),
      c: buffer(gl.ARRAY_BUFFER, colour), tri: buffer(gl.ELEMENT_ARRAY_BUFFER, tri),
    };
  };
  const line = (l) => {
    const p = new Float32Array(l.points.flatMap((x) => x.map((v, k) => v - data.middle[k])));
    return { name: l.name, on: true, count: p.length / 3, ink: l.ink, p: buffer(gl.ARRAY_BUFFER, p) };
  };
  const surfaces = data.surfaces.map(surface), curves = data.lines.map(line);

  // Where one looks from: two axes of the picture; the third looks at the reader.
  let right, up, scale = 1;
  const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
  const unit = (a) => { const l = Math.hypot(...a) || 1; return a.map((v) => v / l); };
  const look = (from, above) => {
    right = unit(cross(above, from));
    up = unit(cross(from, right));
    scale = Math.max(1, Math.min(1.7, canvas.clientWidth / canvas.clientHeight));
  };
  const turn = (dx, dy) => {
    const from = cross(right, up), c = [Math.cos(dx), Math.sin(dx)], d = [Math.cos(dy), Math.sin(dy)];
    right = unit(right.map((v, k) => v * c[0] - from[k] * c[1]));
    const to = cross(right, up);
    up = unit(up.map((v, k) => v * d[0] + to[k] * d[1]));
    up = unit(cross(cross(right, up), right));
  };
  const draw = () => {
    const ratio = Math.min(2, devicePixelRatio || 1);
    canvas.width = canvas.clientWidth * ratio;
    canvas.height = canvas.clientHeight * ratio;
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.clearColor(0.98, 0.98, 0.96, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.enable(gl.DEPTH_TEST);
    const from = cross(right, up), k = scale / data.reach, wide = Math.min(1, canvas.height / canvas.width), high = Math.min(1, canvas.width / canvas.height);
    const m = [], deep = -0.2 / data.reach;
    for (let i = 0; i < 3; i++) m.push(right[i] * k * wide, up[i] * k * high, from[i] * deep, 0);
    m.push(0, 0, 0, 1);
    const r = [right[0], up[0], from[0], right[1], up[1], from[1], right[2], up[2], from[2]];
    const use = (p, name, b) => {
      const at = gl.getAttribLocation(p, name);
      gl.bindBuffer(gl.ARRAY_BUFFER, b);
      gl.enableVertexAttribArray(at);
      gl.vertexAttribPointer(at, 3, gl.FLOAT, false, 0, 0);
    };
    gl.useProgram(solid);
    gl.uniformMatrix4fv(gl.getUniformLocation(solid, "m"), false, m);
    gl.uniformMatrix3fv(gl.getUniformLocation(solid, "r"), false, r);
    for (const s of surfaces) {
      if (!s.on) continue;
      use(solid, "p", s.p); use(solid, "n", s.n); use(solid, "c", s.c);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, s.tri);
      gl.drawElements(gl.TRIANGLES, s.count, gl.UNSIGNED_INT, 0);
    }
    gl.useProgram(thin);
    gl.uniformMatrix4fv(gl.getUniformLocation(thin, "m"), false, m);
    for (const c of curves) {
      if (!c.on) continue;
      use(thin, "p", c.p);
      gl.uniform3fv(gl.getUniformLocation(thin, "k"), c.ink);
      gl.drawArrays(gl.LINE_STRIP, 0, c.count);
      gl.drawArrays(gl.POINTS, 0, c.count);
    }
    canvas.dataset.drawn = String(Number(canvas.dataset.drawn || 0) + 1);
  };

  // What is tapped.
  const button = (text, act, pressed) => {
    const b = document.createElement("button");
    b.type = "button";
    b.textContent = text;
    if (pressed !== undefined) b.setAttribute("aria-pressed", String(pressed));
    b.addEventListener("click", () => { act(b); draw(); });
    document.getElementById("tools").append(b);
  };
  for (const v of data.views) button(v.name, () => look(v.from, v.up));
  for (const s of [...surfaces, ...curves]) button(s.name, (b) => { s.on = !s.on; b.setAttribute("aria-pressed", String(s.on)); }, s.on);
  button("+", () => { scale *= 1.25; });
  button("−", () => { scale /= 1.25; });
  let held = null;
  canvas.addEventListener("pointerdown", (e) => { held = [e.clientX, e.clientY]; canvas.setPointerCapture(e.pointerId); });
  canvas.addEventListener("pointerup", () => { held = null; });
  canvas.addEventListener("pointermove", (e) => {
    if (!held) return;
    turn((e.clientX - held[0]) / 150, (e.clientY - held[1]) / 150);
    held = [e.clientX, e.clientY];
    draw();
  });
  canvas.addEventListener("wheel", (e) => { e.preventDefault(); scale *= Math.exp(-e.deltaY / 600); draw(); }, { passive: false });
  canvas.addEventListener("keydown", (e) => {
    const step = { ArrowLeft: [-0.15, 0], ArrowRight: [0.15, 0], ArrowUp: [0, -0.15], ArrowDown: [0, 0.15] }[e.key];
    if (!step) return;
    e.preventDefault();
    turn(...step);
    draw();
  });
  addEventListener("resize", draw);
  look(data.views[0].from, data.views[0].up);
  draw();
})();
