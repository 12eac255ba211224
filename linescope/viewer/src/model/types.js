/**
 * What the modules hand to one another. Lengths are metres, forces newtons. Everything stands in the frame of the line:
 * x from anchor A towards B on the level, y to the far side of it, z up, anchor A at the origin. Every word and every figure
 * that is read was written by the program; none is made here.
 *
 * @typedef {[number, number, number]} Point
 *
 * An array of the scene, unpacked: frames of items of parts, row by row.
 * @typedef {object} Frames
 * @property {Float32Array} values
 * @property {number} count  frames
 * @property {number} items  in a frame
 * @property {number} parts  of an item
 *
 * Texts of frames of items.
 * @typedef {object} Told
 * @property {Frames} index
 * @property {string[]} of
 *
 * The lines of one state over its frames, as they came.
 * @typedef {object} Framed
 * @property {"bay"|"own"} topology
 * @property {Frames|null} main
 * @property {Frames} backup
 * @property {{after: number, frame: number}|null} parted
 * @property {{main: number[], backup: number[], gone: (number|null)[]}} tapes
 * @property {Frames|null} feet
 * @property {Frames|null} ring
 * @property {Frames|null} tie
 * @property {Frames|null} leash
 * @property {Frames|null} fallen
 * @property {string|null} pose
 * @property {Record<string, Told|null>} pull
 * @property {Told|null} depthText
 * @property {Record<string, Told|null>} tensionText
 * @property {Frames|null} depth
 * @property {Record<string, Frames|null>} tension
 * @property {Frames|null} above
 *
 * The lines at one moment, or with the walker at one place.
 * @typedef {object} Shape
 * @property {number} bays  of lines at rest
 * @property {Point[][]} main  one run of points, or more where it has parted; none where there is no main
 * @property {Point[]} backup
 * @property {(Point|null)[]} tapes  null where a tape has let go
 * @property {Point|null} feet
 * @property {Point|null} ring
 * @property {Point|null} tie
 * @property {Point[]} leash
 * @property {number} fallen  0 stands, 1 hangs
 * @property {number[]|null} depths
 * @property {number[]|null} above
 * @property {{main: number[]|null, backup: number[]|null}} pulls
 *
 * @typedef {object} State
 * @property {string} key
 * @property {"still"|"places"|"film"} kind
 * @property {string} tab
 * @property {string} tabFigure
 * @property {string} title
 * @property {string} where
 * @property {number} count
 * @property {number[]} x  places [m] or times [s]
 * @property {string[]} xText
 * @property {number} seconds
 * @property {{text: string, grade: string}[]} verdict
 * @property {string} sub
 * @property {{names: string[], values: string[][]}} figures
 * @property {Framed} shape
 * @property {any[]} labels
 * @property {any[]} dimensions
 * @property {any} bound
 * @property {any} trace
 * @property {Record<string, ArrayLike<number>>|null} rub  class of each point, by face
 * @property {any[]} [tapes]  of the state, where they are not the scene's
 * @property {number|null} [at]  of a film that was asked for: the walker's place [m]
 * @property {boolean} [old]  from before the last change
 *
 * @typedef {object} Model
 * @property {any} data  the rest of the scene, as it came
 * @property {Record<string, string>} words  buttons and heads
 * @property {Record<string, string>} colours
 * @property {State[]} states
 * @property {number} span  on the level [m]
 * @property {number} drop  of anchor B below A [m]
 * @property {[number, number][]} profile  of the ground under the line
 * @property {{series: any[], need: any, title: string, xTicks: any[]}|null} curve
 * @property {ReturnType<typeof import("./glb.js").readGlb>} gltf
 * @property {{x: number, y: number, z: number, angle: number}|null} moved  the ground, where it was given for another frame
 */
export {};
