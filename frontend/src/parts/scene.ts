/** The cube in three dimensions: a thin drawing layer over three.js that shows exactly the picture it is given. */

import {
  BoxGeometry,
  Color,
  ColorManagement,
  InstancedMesh,
  LinearSRGBColorSpace,
  Matrix4,
  MeshBasicMaterial,
  PerspectiveCamera,
  Quaternion,
  Raycaster,
  Scene,
  Vector2,
  Vector3,
  WebGLRenderer,
} from 'three';
import { carries, layersOf, NORMALS, places, type Place, type Turn } from '../lib/cube';
import { ANGLE, axes, frame, ghostMiddle, HALF } from '../lib/framing';
import { COVERED, inkOn, paintOf } from '../lib/paint';
import { type Light, type Sheet, Sheets, Skins } from './skins';

export interface Picture {
  size: number;
  colours: readonly string[];
  scheme: readonly string[];
  letters: Readonly<Record<number, string>>;
  showLetters: boolean;
  ghost: boolean;
  covered: boolean;
  lit: ReadonlySet<number>;
  wrong: ReadonlySet<number>;
  options: ReadonlySet<number>;
  /** The turn under way and how much of it is done, 0 to 1. */
  turning: { turn: Turn; part: number } | null;
  /** Radians: round the upright axis, and from above. */
  yaw: number;
  pitch: number;
  /** The page's ground, as #rrggbb. */
  light: boolean;
}

// Paints are shown as they are given. To turn them into linear light and back for every point would take a third of a
// frame's time where the processor draws, and all that it is good for here, the lamp, is reckoned once a sticker.
ColorManagement.enabled = false;

const STICKER = 0.86;
/** Where the processor draws, the picture is this much coarser in each direction while something turns. */
const COARSE = 0.7;

/** One place, and where in it lie its sticker, the letter that stays while stickers pass, and a ring. */
interface Spot {
  place: Place;
  normal: Vector3;
  /** From the middle of its face. */
  inFace: Vector3;
  sticker: Matrix4;
  ring: Matrix4;
  letter: Matrix4;
}

/** The two parts of the cube while a layer turns. */
interface Half {
  bodies: InstancedMesh<BoxGeometry, MeshBasicMaterial>;
  sheets: Sheets;
}

export class CubeScene {
  readonly #renderer: WebGLRenderer;
  readonly #scene = new Scene();
  readonly #camera = new PerspectiveCamera(ANGLE, 1, 1, 60);
  readonly #skins: Skins;
  readonly #bodyPaint = new MeshBasicMaterial({ color: 0x05070d });
  #spots: Spot[] = [];
  /** The places of the middles of the bodies, by their cubies. */
  #bodies: { cubie: Place['cubie']; at: Matrix4 }[] = [];
  #still: Half | null = null;
  #moving: Half | null = null;
  #size = 0;
  #ratio = 1;
  readonly #smooth: boolean;
  #painted: Picture | null = null;

  /** Throws where the browser draws no WebGL. `smooth` softens edges and keeps what moves as sharp as what rests, which a machine without a graphics chip cannot afford. */
  constructor(canvas: HTMLCanvasElement, smooth = true) {
    this.#smooth = smooth;
    this.#renderer = new WebGLRenderer({ canvas, alpha: true, antialias: smooth, powerPreference: 'low-power' });
    this.#renderer.setClearColor(new Color(0x000000), 0);
    this.#renderer.outputColorSpace = LinearSRGBColorSpace;
    this.#skins = new Skins(smooth ? Math.min(4, this.#renderer.capabilities.getMaxAnisotropy()) : 1);
  }

  resize(width: number, height: number, ratio: number): void {
    this.#ratio = Math.min(ratio, 2);
    this.#renderer.setSize(width, height, false);
    this.#camera.aspect = width / Math.max(height, 1);
    this.#camera.updateProjectionMatrix();
    this.#painted = null;
  }

  draw(picture: Picture): void {
    if (picture.size !== this.#size) this.#build(picture.size);
    // Within one turn only the turn goes on; look, paint, and what moves are still right.
    if (!this.#painted || !samePaint(this.#painted, picture)) {
      this.#aim(picture);
      this.#paint(picture);
    }
    this.#painted = picture;
    this.#turn(picture);
    const ratio = this.#ratio * (picture.turning && !this.#smooth ? COARSE : 1);
    if (ratio !== this.#renderer.getPixelRatio()) this.#renderer.setPixelRatio(ratio);
    this.#renderer.render(this.#scene, this.#camera);
  }

  /** The place under a point of the canvas (-1 to 1 from left to right and from bottom to top), or null. */
  placeAt(x: number, y: number): number | null {
    const ray = new Raycaster();
    ray.setFromCamera(new Vector2(x, y), this.#camera);
    const halves = [this.#still, this.#moving].filter((half) => half !== null);
    const found = ray.intersectObjects(halves.flatMap(({ bodies, sheets }) => [bodies, sheets.mesh]), false)[0];
    const on = halves.find(({ sheets }) => sheets.mesh === found?.object);
    return on ? on.sheets.placeOf(found?.instanceId ?? -1) : null;
  }

  dispose(): void {
    this.#clear();
    this.#skins.dispose();
    this.#bodyPaint.dispose();
    this.#renderer.dispose();
  }

  #clear(): void {
    for (const half of [this.#still, this.#moving]) {
      half?.bodies.geometry.dispose();
      half?.bodies.dispose();
      half?.sheets.dispose();
    }
    this.#scene.clear();
  }

  #build(size: number): void {
    this.#clear();
    this.#size = size;
    const unit = (2 * HALF) / size;
    const at = (cubie: Place['cubie']): Vector3 => new Vector3(...cubie).multiplyScalar(unit / 2);
    this.#spots = places(size).map((place) => {
      const normal = new Vector3(...NORMALS[place.face]);
      const lying = (lift: number, side: number): Matrix4 =>
        laid(at(place.cubie).addScaledVector(normal, unit / 2 + lift), uprightOn(place.face), unit * side);
      const inFace = at(place.cubie).addScaledVector(normal, unit / 2 - HALF);
      return { place, normal, inFace, sticker: lying(0.006, STICKER), ring: lying(0.016, 1), letter: lying(0.026, STICKER) };
    });
    const cubies = new Map(this.#spots.map(({ place }) => [place.cubie.join(), place.cubie]));
    this.#bodies = [...cubies.values()].map((cubie) => ({ cubie, at: laid(at(cubie), new Quaternion(), 1) }));
    const half = (): Half => {
      const edge = unit * 0.985;
      const bodies = new InstancedMesh(new BoxGeometry(edge, edge, edge), this.#bodyPaint, this.#bodies.length);
      bodies.frustumCulled = false;
      const sheets = new Sheets(this.#skins, 3 * this.#spots.length);
      this.#scene.add(bodies, sheets.mesh);
      return { bodies, sheets };
    };
    this.#still = half();
    this.#moving = half();
  }

  #aim({ yaw, pitch, ghost }: Picture): void {
    const { distance, rise } = frame(pitch, this.#camera.aspect, ghost);
    const { to, up } = axes(yaw, pitch);
    const middle = new Vector3(...up).multiplyScalar(rise);
    this.#camera.position.set(...to).multiplyScalar(distance).add(middle);
    this.#camera.lookAt(middle);
  }

  /** Lay everything where it belongs, what moves apart from what stays. */
  #paint(picture: Picture): void {
    const { size, colours, scheme, letters, showLetters, ghost, covered, lit, wrong, options, turning } = picture;
    const eye = this.#camera.position;
    const moves = ({ cubie }: Pick<Place, 'cubie'>): boolean => turning !== null && carries(size, turning.turn, cubie);
    const moving: Sheet[] = [];
    // Behind the cube, then on it; and on each sticker its ring and its letter.
    const layers: Sheet[][] = [[], [], [], [], [], []];
    this.#spots.forEach(({ place, normal, inFace, sticker, ring, letter }, number) => {
      const symbol = colours[number] ?? '';
      const paint = covered ? COVERED : paintOf(symbol, scheme);
      const glyph = showLetters && !covered ? (letters[number] ?? '') : '';
      const skin = this.#skins.layer(`sticker|${paint}|${covered ? '' : symbol}|${glyph ? 'low' : 'mid'}`);
      if (moves(place)) {
        moving.push({ place: number, at: sticker, skin, light: shade(normal), opacity: 1 });
        return;
      }
      const mark = wrong.has(number) ? 'wrong' : lit.has(number) ? 'lit' : options.has(number) ? 'option' : '';
      const ringSkin = mark && this.#skins.layer(`ring|${mark}`);
      const letterSkin = glyph && this.#skins.layer(`letter|${glyph}|${inkOn(paint)}`);
      const lay = (layer: number, at: Matrix4, worn: number | '', light = WHITE, opacity = 1): void => {
        if (worn !== '') layers[layer]?.push({ place: number, at, skin: worn, light, opacity });
      };
      // A face is hidden when its middle's outward direction points away from the eye.
      if (normal.dot(eye) >= HALF) {
        lay(3, sticker, skin, shade(normal));
        lay(4, ring, ringSkin);
        lay(5, letter, letterSkin);
      } else if (ghost) {
        // Seen through the cube: behind it, turned towards the viewer so that letters are not mirrored.
        const facing = uprightOn(place.face).multiply(new Quaternion().setFromAxisAngle(new Vector3(0, 1, 0), Math.PI));
        const middle = new Vector3(...ghostMiddle(place.face, picture.yaw)).add(inFace);
        const at = laid(middle, facing, ((2 * HALF) / size) * STICKER);
        lay(0, at, skin, WHITE, picture.light ? 0.8 : 0.62);
        lay(1, at, ringSkin);
        lay(2, at, letterSkin);
      }
    });
    this.#still?.sheets.lay(layers.flat());
    this.#moving?.sheets.lay(moving);
    this.#bodyPaint.color.set(picture.light ? 0x20242f : 0x05070d);
    for (const [half, these] of [
      [this.#still, this.#bodies.filter((body) => !moves(body))],
      [this.#moving, this.#bodies.filter(moves)],
    ] as const) {
      if (!half) continue;
      these.forEach((body, number) => half.bodies.setMatrixAt(number, body.at));
      half.bodies.count = these.length;
      half.bodies.instanceMatrix.needsUpdate = true;
      half.bodies.boundingSphere = null;
    }
  }

  #turn({ size, turning }: Picture): void {
    if (!this.#moving) return;
    const turned = new Quaternion();
    if (turning) {
      const { turn, part } = turning;
      turned.setFromAxisAngle(new Vector3(...NORMALS[layersOf(size, turn).face]), (-Math.PI / 2) * turn.amount * part);
      this.#moving.sheets.shine((place) => shade((this.#spots[place]?.normal ?? LAMP).clone().applyQuaternion(turned)));
    }
    for (const mesh of [this.#moving.bodies, this.#moving.sheets.mesh]) mesh.quaternion.copy(turned);
  }
}

function samePaint(a: Picture, b: Picture): boolean {
  const keys = ['size', 'colours', 'scheme', 'letters', 'showLetters', 'ghost', 'covered', 'lit', 'wrong', 'options', 'yaw', 'pitch', 'light'] as const;
  return keys.every((key) => a[key] === b[key]) && a.turning?.turn === b.turning?.turn;
}

/** The lamp stands above the left shoulder and is a little warm; its light is added to the room's. */
const LAMP = new Vector3(-2, 6, 7).normalize();
const ROOM = 0.668;
const WARM = [0.398, 0.302, 0.191] as const;

const WHITE: Light = [1, 1, 1];

/** The light that falls on a sticker which faces this way, as what the screen's brightness is (its gamma is 2.2). */
function shade(normal: Vector3): Light {
  const slant = Math.max(0, normal.dot(LAMP));
  return WARM.map((part) => (ROOM + part * slant) ** (1 / 2.2)) as unknown as Light;
}

/** A square or cube of side 1, made this large, turned and laid there. */
function laid(at: Vector3, turned: Quaternion, side: number): Matrix4 {
  return new Matrix4().compose(at, turned, new Vector3(side, side, side));
}

/** How a plane that faces the viewer is turned to lie on a face, its top towards the top of the face as unfolded. */
function uprightOn(face: Place['face']): Quaternion {
  const turn = (axis: Vector3, quarters: number): Quaternion =>
    new Quaternion().setFromAxisAngle(axis, (quarters * Math.PI) / 2);
  const [x, y] = [new Vector3(1, 0, 0), new Vector3(0, 1, 0)];
  switch (face) {
    case 'U':
      return turn(x, -1);
    case 'D':
      return turn(x, 1);
    case 'F':
      return new Quaternion();
    case 'R':
      return turn(y, 1);
    case 'B':
      return turn(y, 2);
    case 'L':
      return turn(y, -1);
  }
}
