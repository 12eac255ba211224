/**
 * What a picture is drawn on before it comes to the canvas, smooth at every edge: a sheet for all of it, and one for the ground
 * alone, which is kept with its depth for as long as nothing of it changes. To copy them is cheap even for a processor; to copy
 * from one that is not smooth is not, so there is none, and what is drawn in haste is drawn onto the canvas.
 */

/** @typedef {"all"|"ground"} Name */

export class Sheets {
  /** @param {WebGL2RenderingContext} gl */
  constructor(gl) {
    this.gl = gl;
    this.samples = Math.min(4, gl.getParameter(gl.MAX_SAMPLES));
    this.wide = this.high = 1;
    this.deep = true; // whether depth can be copied, which is known after the first time
    /** @type {Map<Name, {frame: WebGLFramebuffer, parts: WebGLRenderbuffer[]}>} */
    this.made = new Map();
  }

  /** What was made for another size is given back. @param {number} wide  pixels of the canvas @param {number} high */
  size(wide, high) {
    if (wide === this.wide && high === this.high) return;
    const { gl } = this;
    for (const { frame, parts } of this.made.values()) {
      gl.deleteFramebuffer(frame);
      for (const part of parts) gl.deleteRenderbuffer(part);
    }
    this.made.clear();
    [this.wide, this.high] = [Math.max(1, wide), Math.max(1, high)];
  }

  /** What is drawn next comes onto a sheet. @param {Name} name */
  open(name) { this.gl.bindFramebuffer(this.gl.FRAMEBUFFER, this.frame(name)); }

  /** What is drawn next comes onto the canvas. */
  close() { this.gl.bindFramebuffer(this.gl.FRAMEBUFFER, null); }

  /** A sheet onto the canvas, which is open then. @param {Name} name @param {number} [size]  of its lower left corner, where that is enough [pixels] */
  show(name, size) { this.copy(name, this.gl.COLOR_BUFFER_BIT, size ?? this.wide, size ?? this.high); }

  /** A sheet and its depth onto the canvas, so that more can be drawn there. @param {Name} name @returns {boolean}  whether that can be done here */
  lay(name) {
    const { gl } = this;
    if (!this.deep) return false;
    const known = this.made.has(name) && this.tried;
    if (!known) while (gl.getError() !== gl.NO_ERROR);
    this.copy(name, gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT, this.wide, this.high);
    if (!known) this.deep = gl.getError() === gl.NO_ERROR; // the canvas's depth may be of another kind
    this.tried = true;
    return this.deep;
  }

  /** @param {Name} name @param {number} what @param {number} w @param {number} h */
  copy(name, what, w, h) {
    const { gl } = this;
    gl.bindFramebuffer(gl.READ_FRAMEBUFFER, this.frame(name));
    gl.bindFramebuffer(gl.DRAW_FRAMEBUFFER, null);
    gl.blitFramebuffer(0, 0, w, h, 0, 0, w, h, what, gl.NEAREST);
    this.close();
  }

  /** @param {Name} name */
  frame(name) {
    const { gl } = this, known = this.made.get(name);
    if (known) return known.frame;
    const frame = gl.createFramebuffer(), parts = [gl.createRenderbuffer(), gl.createRenderbuffer()];
    gl.bindFramebuffer(gl.FRAMEBUFFER, frame);
    for (const [k, format, place] of /** @type {const} */ ([[0, gl.RGBA8, gl.COLOR_ATTACHMENT0], [1, gl.DEPTH24_STENCIL8, gl.DEPTH_STENCIL_ATTACHMENT]])) {
      gl.bindRenderbuffer(gl.RENDERBUFFER, parts[k]);
      gl.renderbufferStorageMultisample(gl.RENDERBUFFER, this.samples, format, this.wide, this.high);
      gl.framebufferRenderbuffer(gl.FRAMEBUFFER, place, gl.RENDERBUFFER, parts[k]);
    }
    this.made.set(name, { frame, parts });
    return frame;
  }
}
