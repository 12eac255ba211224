// The drawing programs of the stage.
(function () {
  "use strict";

  // Centre lines are read out of a texture: drawing many instances is slow where there is no graphics card.
  const ACROSS = 1024;  // Points in a row of that texture.
  const POINTS = `
    uniform highp sampler2D points; uniform int first;
    vec3 point(int k) { k += first; return texelFetch(points, ivec2(k % ${ACROSS}, k / ${ACROSS}), 0).xyz; }`;

  const LINE_VERTEX = `#version 300 es
    ${POINTS}
    uniform mat4 M; uniform vec2 half_size; uniform float width; uniform float lift; uniform float tall;
    void main() {
      int piece = gl_VertexID / 6;
      vec3 p0 = point(piece), p1 = point(piece + 1);
      vec4 a = M * vec4(p0.xy, p0.z * tall, 1.0), b = M * vec4(p1.xy, p1.z * tall, 1.0);
      if (a.w < 1e-3 && b.w < 1e-3) { gl_Position = vec4(2.0, 2.0, 2.0, 1.0); return; }
      if (a.w < 1e-3) a = mix(b, a, (b.w - 1e-3) / (b.w - a.w));
      if (b.w < 1e-3) b = mix(a, b, (a.w - 1e-3) / (a.w - b.w));
      vec2 along = (b.xy / b.w - a.xy / a.w) * half_size;
      float len = length(along);
      along = len > 1e-6 ? along / len : vec2(1.0, 0.0);
      int k = gl_VertexID % 6;
      bool far = k == 1 || k == 2 || k == 4;
      float side = (k == 0 || k == 1 || k == 3) ? 1.0 : -1.0;
      vec4 at = far ? b : a;
      vec2 move = vec2(-along.y, along.x) * side * width * 0.5 + along * (far ? 0.3 : -0.3) * min(width, 2.0);
      at.xy += move / half_size * at.w;
      at.z -= lift * at.w;
      gl_Position = at;
    }`;

  const FLAT_FRAGMENT = `#version 300 es
    precision highp float; uniform vec4 colour; out vec4 result;
    void main() { result = colour; }`;

  // A box of true width and thickness round every piece of a centre line.
  const RIBBON_VERTEX = `#version 300 es
    ${POINTS}
    uniform mat4 M; uniform float width; uniform float thick; uniform float side;
    out vec3 normal; flat out int top;
    const int corners[36] = int[36](0,1,5,0,5,4, 3,7,6,3,6,2, 0,4,7,0,7,3, 1,2,6,1,6,5, 0,3,2,0,2,1, 4,5,6,4,6,7);
    void main() {
      int piece = gl_VertexID / 36, k = gl_VertexID % 36;
      vec3 p0 = point(piece), p1 = point(piece + 1);
      vec3 t = normalize(p1 - p0);
      vec3 flat_way = cross(vec3(0.0, 0.0, 1.0), t);
      vec3 across = length(flat_way) > 1e-5 ? normalize(flat_way) : vec3(0.0, 1.0, 0.0);
      vec3 out_way = cross(t, across);
      int c = corners[k];
      vec3 at = (c < 4 ? p0 : p1) + out_way * side * thick * 0.5;
      int turn = c % 4;
      at += across * ((turn == 1 || turn == 2) ? 0.5 : -0.5) * width + out_way * (turn < 2 ? 0.5 : -0.5) * thick;
      int face = k / 6;
      normal = face == 0 ? out_way : face == 1 ? -out_way : face == 2 ? -across : across;
      top = face == 0 ? 1 : 0;
      gl_Position = M * vec4(at, 1.0);
    }`;

  const RIBBON_FRAGMENT = `#version 300 es
    precision highp float; in vec3 normal; flat in int top;
    uniform vec4 colour; uniform vec4 under; out vec4 result;
    void main() {
      float light = 0.72 + 0.28 * max(0.0, dot(normalize(normal), normalize(vec3(0.3, -0.5, 0.8))));
      vec4 base = top == 1 ? colour : under;
      result = vec4(base.rgb * light, 1.0);
    }`;

  const SOLID_VERTEX = `#version 300 es
    layout(location=0) in vec3 p0; uniform mat4 M; uniform float tall; uniform vec3 centre; out vec3 place;
    void main() {
      vec3 at = vec3(p0.xy, p0.z * tall);
      place = at - centre;  // Small numbers, so that slopes taken from differences are clean.
      gl_Position = M * vec4(at, 1.0);
    }`;

  const SOLID_FRAGMENT = `#version 300 es
    precision highp float; in vec3 place; uniform vec4 colour; uniform vec4 edge; uniform float contour;
    uniform float tall; uniform vec3 centre; out vec4 result;
    void main() {
      vec3 n = normalize(cross(dFdx(place), dFdy(place)));
      if (n.z < 0.0) n = -n;
      float light = 0.55 + 0.45 * max(0.0, dot(n, normalize(vec3(-0.35, -0.5, 0.8))));
      vec3 shade = colour.rgb * light;
      if (contour > 0.0) {
        float level = (place.z + centre.z) / tall / contour;
        float width = fwidth(level);
        float line = 1.0 - smoothstep(0.0, 1.4 * width, abs(fract(level - 0.5) - 0.5));
        if (width > 5e-4 && width < 0.35) shade = mix(shade, edge.rgb, 0.45 * line);
      }
      result = vec4(shade, 1.0);
    }`;

  const MARK_VERTEX = `#version 300 es
    layout(location=0) in vec4 p0; uniform mat4 M; uniform float size; uniform float tall; flat out int kind;
    void main() {
      gl_Position = M * vec4(p0.xy, p0.z * tall, 1.0);
      gl_Position.z -= 0.0012 * gl_Position.w;
      kind = min(int(p0.w + 0.5), 31); gl_PointSize = size;
    }`;

  // Shapes as in the printed pictures: block, up, down, diamond, disc, bow, ring, star.
  const MARK_FRAGMENT = `#version 300 es
    precision highp float; flat in int kind; uniform int shapes[32]; uniform vec4 colours[32]; uniform vec4 rim;
    out vec4 result;
    float inside(int shape, vec2 p) {
      if (shape == 0) return 0.62 - max(abs(p.x), abs(p.y));
      if (shape == 1) return min(0.72 - p.y * 0.5 - 0.36 - abs(p.x) * 0.87 + 0.1, p.y + 0.62);
      if (shape == 2) return min(0.72 + p.y * 0.5 - 0.36 - abs(p.x) * 0.87 + 0.1, 0.62 - p.y);
      if (shape == 3) return (0.85 - abs(p.x) - abs(p.y)) * 0.7;
      if (shape == 5) return min(0.75 - abs(p.x), abs(p.x) * 0.9 + 0.12 - abs(p.y));
      if (shape == 6) return 0.2 - abs(length(p) - 0.52);
      if (shape == 7) { float a = atan(p.x, p.y); return 0.42 + 0.26 * cos(5.0 * a) - length(p); }
      return 0.7 - length(p);
    }
    void main() {
      vec2 p = vec2(gl_PointCoord.x * 2.0 - 1.0, 1.0 - gl_PointCoord.y * 2.0);
      float d = inside(shapes[kind], p);
      if (d < -0.16) discard;
      result = d < 0.0 ? rim : colours[kind];
    }`;

  window.LinescopeShaders = { ACROSS, LINE_VERTEX, FLAT_FRAGMENT, RIBBON_VERTEX, RIBBON_FRAGMENT, SOLID_VERTEX, SOLID_FRAGMENT, MARK_VERTEX, MARK_FRAGMENT };
})();
