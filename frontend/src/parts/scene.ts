/** The cube in three dimensions: a thin drawing layer over three.js that shows exactly the picture it is given. */

import {
  BoxGeometry,
  CanvasTexture,
  Color,
  ColorManagement,
  DoubleSide,
  FrontSide,
  Group,
  LinearFilter,
  LinearMipmapLinearFilter,
  LinearSRGBColorSpace,
  Mesh,
  MeshBasicMaterial,
  PerspectiveCamera,
  PlaneGeometry,
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

const PIXELS = 128;
const STICKER = 0.86;
/** Where the processor draws, the picture is this much coarser in each direction while something turns. */
const COARSE = 0.7;

/** One place: its sticker, the letter that stays while stickers pass, rings, and the ghost behind the cube. */
interface Spot {
  place: Place;
  sticker: Mesh<PlaneGeometry, MeshBasicMaterial>;
  letter: Mesh<PlaneGeometry, MeshBasicMaterial>;
  ring: Mesh<PlaneGeometry, MeshBasicMaterial>;
  ghost: Group;
  ghostSticker: Mesh<PlaneGeometry, MeshBasicMaterial>;
  ghostLetter: Mesh<PlaneGeometry, MeshBasicMaterial>;
  ghostRing: Mesh<PlaneGeometry, MeshBasicMaterial>;
  /** From the middle of its face. */
  inFace: Vector3;
  normal: Vector3;
}

export class CubeScene {
  readonly #renderer: WebGLRenderer;
  readonly #scene = new Scene();
  readonly #camera = new PerspectiveCamera(ANGLE, 1, 1, 60);
  readonly #still = new Group();
  readonly #moving = new Group();
  readonly #textures = new Map<string, CanvasTexture>();
  readonly #quad = new PlaneGeometry(1, 1);
  readonly #bodyPaint = new MeshBasicMaterial({ color: 0x05070d });
  #spots: Spot[] = [];
  #bodies: { mesh: Mesh; place: Vector3; cubie: Place['cubie'] }[] = [];
  #size = 0;
  #width = 0;
  #ratio = 1;
  readonly #smooth: boolean;
  #painted: Picture | null = null;

  /** Throws where the browser draws no WebGL. `smooth` softens edges and keeps what moves as sharp as what rests, which a machine without a graphics chip cannot afford. */
  constructor(canvas: HTMLCanvasElement, smooth = true) {
    this.#smooth = smooth;
    this.#renderer = new WebGLRenderer({ canvas, alpha: true, antialias: smooth, powerPreference: 'low-power' });
    this.#renderer.setClearColor(new Color(0x000000), 0);
    this.#renderer.outputColorSpace = LinearSRGBColorSpace;
    this.#scene.add(this.#still, this.#moving);
  }

  resize(width: number, height: number, ratio: number): void {
    this.#ratio = Math.min(ratio, 2);
    this.#renderer.setSize(width, height, false);
    this.#camera.aspect = width / Math.max(height, 1);
    this.#camera.updateProjectionMatrix();
    this.#width = width;
    this.#painted = null;
  }

  draw(picture: Picture): void {
    if (picture.size !== this.#size) this.#build(picture.size);
    // Within one turn only the turn goes on; look, paint, and what moves are still right.
    if (!this.#painted || !samePaint(this.#painted, picture)) {
      this.#aim(picture);
      this.#paint(picture);
      this.#part(picture);
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
    const bodies = this.#bodies.map(({ mesh }) => mesh);
    const found = ray.intersectObjects([...bodies, ...this.#spots.flatMap((s) => (s.ghost.visible ? [s.sticker, s.ghostSticker] : [s.sticker]))], false)[0];
    if (!found) return null;
    const place = this.#spots.findIndex((s) => s.sticker === found.object || s.ghostSticker === found.object);
    return place < 0 ? null : place;
  }

  dispose(): void {
    this.#clear();
    for (const texture of this.#textures.values()) texture.dispose();
    this.#quad.dispose();
    this.#bodyPaint.dispose();
    this.#renderer.dispose();
  }

  #clear(): void {
    for (const spot of this.#spots)
      for (const mesh of [spot.sticker, spot.letter, spot.ring, spot.ghostSticker, spot.ghostLetter, spot.ghostRing]) mesh.material.dispose();
    for (const { mesh } of this.#bodies) mesh.geometry.dispose();
    this.#still.clear();
    this.#moving.clear();
  }

  #build(size: number): void {
    this.#clear();
    this.#size = size;
    const unit = (2 * HALF) / size;
    const at = (cubie: Place['cubie']): Vector3 => new Vector3(...cubie).multiplyScalar(unit / 2);
    const seen = new Set<string>();
    this.#bodies = [];
    const box = new BoxGeometry(unit * 0.985, unit * 0.985, unit * 0.985);
    this.#spots = places(size).map((place) => {
      const key = place.cubie.join();
      if (!seen.has(key)) {
        seen.add(key);
        const mesh = new Mesh(box, this.#bodyPaint);
        const middle = at(place.cubie);
        mesh.position.copy(middle);
        this.#still.add(mesh);
        this.#bodies.push({ mesh, place: middle, cubie: place.cubie });
      }
      const normal = new Vector3(...NORMALS[place.face]);
      const facing = uprightOn(place.face);
      const plane = (lift: number, scale: number): Mesh<PlaneGeometry, MeshBasicMaterial> => {
        const mesh = new Mesh(this.#quad, new MeshBasicMaterial({ transparent: true, side: FrontSide }));
        mesh.scale.setScalar(unit * scale);
        mesh.quaternion.copy(facing);
        mesh.position.copy(at(place.cubie)).addScaledVector(normal, unit / 2 + lift);
        this.#still.add(mesh);
        return mesh;
      };
      const sticker = plane(0.006, STICKER);
      const ring = plane(0.016, 1);
      const letter = plane(0.026, STICKER);
      ring.renderOrder = 1;
      letter.renderOrder = 2;

      // Seen through the cube: behind it, turned towards the viewer so that letters are not mirrored.
      const ghost = new Group();
      const inFace = at(place.cubie).addScaledVector(normal, unit / 2 - HALF);
      ghost.quaternion.copy(facing).multiply(new Quaternion().setFromAxisAngle(new Vector3(0, 1, 0), Math.PI));
      const sheet = (lift: number, order: number): Mesh<PlaneGeometry, MeshBasicMaterial> => {
        const mesh = new Mesh(this.#quad, new MeshBasicMaterial({ transparent: true, side: DoubleSide, depthWrite: false }));
        mesh.scale.setScalar(unit * STICKER);
        mesh.position.z = lift;
        mesh.renderOrder = order;
        ghost.add(mesh);
        return mesh;
      };
      const ghostSticker = sheet(0, -3);
      const ghostRing = sheet(0.01, -2);
      const ghostLetter = sheet(0.02, -1);
      this.#still.add(ghost);
      return { place, sticker, letter, ring, ghost, ghostSticker, ghostLetter, ghostRing, inFace, normal };
    });
  }

  #aim({ yaw, pitch, ghost }: Picture): void {
    const { distance, rise } = frame(pitch, this.#camera.aspect, ghost);
    const { to, up } = axes(yaw, pitch);
    const middle = new Vector3(...up).multiplyScalar(rise);
    this.#camera.position.set(...to).multiplyScalar(distance).add(middle);
    this.#camera.lookAt(middle);
  }

  #paint(picture: Picture): void {
    const { colours, scheme, letters, showLetters, ghost, covered, lit, wrong, options, turning } = picture;
    const eye = this.#camera.position;
    this.#spots.forEach((spot, number) => {
      const symbol = colours[number] ?? '';
      const paint = covered ? COVERED : paintOf(symbol, scheme);
      const letter = showLetters && !covered ? (letters[number] ?? '') : '';
      const moves = turning !== null && carries(picture.size, turning.turn, spot.place.cubie);
      const skin = this.#texture(`sticker|${paint}|${covered ? '' : symbol}|${letter ? 'low' : 'mid'}`);
      show(spot.sticker, skin);
      const mark = wrong.has(number) ? 'wrong' : lit.has(number) ? 'lit' : options.has(number) ? 'option' : '';
      show(spot.ring, mark && !moves ? this.#texture(`ring|${mark}`) : null);
      const glyph = letter && !moves ? this.#texture(`letter|${letter}|${inkOn(paint)}`) : null;
      show(spot.letter, glyph);
      // A face is hidden when its middle's outward direction points away from the eye.
      const hidden = spot.normal.dot(eye) < HALF;
      spot.ghost.visible = ghost && hidden && !moves;
      if (spot.ghost.visible) {
        spot.ghost.position.set(...ghostMiddle(spot.place.face, picture.yaw)).add(spot.inFace);
        show(spot.ghostSticker, skin);
        spot.ghostSticker.material.opacity = picture.light ? 0.8 : 0.62;
        show(spot.ghostRing, mark ? this.#texture(`ring|${mark}`) : null);
        show(spot.ghostLetter, glyph);
      }
    });
    this.#bodyPaint.color.set(picture.light ? 0x20242f : 0x05070d);
  }

  /** Part what moves from what stays. */
  #part({ size, turning }: Picture): void {
    for (const child of [...this.#moving.children]) this.#still.add(child);
    for (const { sticker, normal } of this.#spots) shade(sticker, normal);
    if (!turning) return;
    for (const { mesh, cubie } of this.#bodies) if (carries(size, turning.turn, cubie)) this.#moving.add(mesh);
    for (const { sticker, place } of this.#spots) if (carries(size, turning.turn, place.cubie)) this.#moving.add(sticker);
  }

  #turn({ size, turning }: Picture): void {
    this.#moving.quaternion.identity();
    if (!turning) return;
    const { turn, part } = turning;
    const axis = new Vector3(...NORMALS[layersOf(size, turn).face]);
    this.#moving.quaternion.setFromAxisAngle(axis, (-Math.PI / 2) * turn.amount * part);
    for (const { sticker, normal } of this.#spots)
      if (sticker.parent === this.#moving) shade(sticker, normal.clone().applyQuaternion(this.#moving.quaternion));
  }

  #texture(key: string): CanvasTexture {
    const known = this.#textures.get(key);
    if (known) return known;
    const canvas = document.createElement('canvas');
    canvas.width = canvas.height = PIXELS;
    const pen = canvas.getContext('2d');
    if (pen) drawTexture(pen, key);
    const texture = new CanvasTexture(canvas);
    texture.minFilter = LinearMipmapLinearFilter;
    texture.magFilter = LinearFilter;
    texture.anisotropy = this.#width > 0 ? Math.min(4, this.#renderer.capabilities.getMaxAnisotropy()) : 1;
    this.#textures.set(key, texture);
    return texture;
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

/** The light that falls on a sticker which faces this way, as what the screen's brightness is (its gamma is 2.2). */
function shade({ material }: Spot['sticker'], normal: Vector3): void {
  const slant = Math.max(0, normal.dot(LAMP));
  const [red, green, blue] = WARM.map((part) => (ROOM + part * slant) ** (1 / 2.2)) as [number, number, number];
  material.color.setRGB(red, green, blue);
}

function show(mesh: Mesh<PlaneGeometry, MeshBasicMaterial>, texture: CanvasTexture | null): void {
  mesh.visible = texture !== null;
  if (texture && mesh.material.map !== texture) {
    // A material first made without a picture has to be compiled again with one.
    if (!mesh.material.map) mesh.material.needsUpdate = true;
    mesh.material.map = texture;
  }
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

function drawTexture(pen: CanvasRenderingContext2D, key: string): void {
  const [kind, a = '', b = '', c = ''] = key.split('|');
  const family = 'ui-sans-serif, system-ui, "Segoe UI", "Noto Sans", "DejaVu Sans", sans-serif';
  pen.textAlign = 'center';
  pen.textBaseline = 'alphabetic';
  if (kind === 'sticker') {
    pen.fillStyle = a;
    pen.strokeStyle = 'rgb(16 19 28 / 0.4)';
    pen.lineWidth = 3;
    pen.beginPath();
    pen.roundRect(2, 2, PIXELS - 4, PIXELS - 4, 20);
    pen.fill();
    pen.stroke();
    pen.fillStyle = inkOn(a);
    if (c === 'low') {
      pen.font = `30px ${family}`;
      pen.fillText(b, PIXELS - 22, PIXELS - 13);
    } else {
      pen.font = `46px ${family}`;
      pen.fillText(b, PIXELS / 2, PIXELS / 2 + 16);
    }
  } else if (kind === 'letter') {
    pen.fillStyle = b;
    pen.font = `600 ${a.length > 1 ? 52 : 78}px ${family}`;
    pen.fillText(a, PIXELS / 2, PIXELS / 2 + 27, PIXELS - 16);
  } else {
    const ring = (colour: string, width: number, dash: number[] = []): void => {
      pen.strokeStyle = colour;
      pen.lineWidth = width;
      pen.setLineDash(dash);
      pen.beginPath();
      pen.roundRect(9, 9, PIXELS - 18, PIXELS - 18, 18);
      pen.stroke();
    };
    ring('#0b1020', 17);
    if (a === 'lit') ring('#ffd591', 9);
    else if (a === 'option') ring('#ffd591', 7, [16, 12]);
    else {
      ring('#ffffff', 7, [16, 12]);
      pen.setLineDash([]);
      pen.fillStyle = '#10131c';
      pen.beginPath();
      pen.arc(30, 30, 22, 0, 7);
      pen.fill();
      pen.fillStyle = '#fff';
      pen.font = `700 34px ${family}`;
      pen.fillText('!', 30, 42);
    }
  }
}
