/** What lies on a cube in three dimensions: skins, each painted once, and many sheets that wear them, drawn all at once. */

import {
  BufferAttribute,
  DataArrayTexture,
  DoubleSide,
  InstancedBufferAttribute,
  InstancedMesh,
  LinearFilter,
  LinearMipmapLinearFilter,
  type Matrix4,
  PlaneGeometry,
  ShaderMaterial,
} from 'three';
import { inkOn } from '../lib/paint';

const PIXELS = 128;
const BYTES = PIXELS * PIXELS * 4;

/**
 * The layers of one texture, so that everything can be drawn at once. Where the processor draws, each thing drawn by
 * itself costs more than all its points.
 */
export class Skins {
  /** What a material reads; the texture in it changes as the skins grow in number. */
  readonly map: { value: DataArrayTexture };
  readonly #layers = new Map<string, number>();
  readonly #anisotropy: number;

  constructor(anisotropy: number) {
    this.#anisotropy = anisotropy;
    this.map = { value: this.#texture(32) };
  }

  /** The layer of a skin: `sticker|paint|symbol|low or mid`, `letter|letter|ink` or `ring|kind`. */
  layer(key: string): number {
    const known = this.#layers.get(key);
    if (known !== undefined) return known;
    const layer = this.#layers.size;
    if (layer === this.map.value.image.depth) this.#grow();
    const { data } = this.map.value.image as { data: Uint8ClampedArray };
    data.set(painted(key), layer * BYTES);
    this.map.value.needsUpdate = true;
    this.#layers.set(key, layer);
    return layer;
  }

  dispose(): void {
    this.map.value.dispose();
  }

  #grow(): void {
    const before = this.map.value;
    const { data, depth } = before.image as { data: Uint8ClampedArray; depth: number };
    this.map.value = this.#texture(2 * depth);
    (this.map.value.image.data as Uint8ClampedArray).set(data);
    before.dispose();
  }

  #texture(depth: number): DataArrayTexture {
    const texture = new DataArrayTexture(new Uint8ClampedArray(depth * BYTES), PIXELS, PIXELS, depth);
    texture.minFilter = LinearMipmapLinearFilter;
    texture.magFilter = LinearFilter;
    texture.generateMipmaps = true;
    texture.anisotropy = this.#anisotropy;
    texture.needsUpdate = true;
    return texture;
  }
}

/** What red, green and blue are multiplied by. */
export type Light = readonly [red: number, green: number, blue: number];

/** A square of side 1, facing +z, as it is laid on the cube. */
export interface Sheet {
  place: number;
  at: Matrix4;
  skin: number;
  light: Light;
  /** How much of it is seen. */
  opacity: number;
}

/** Sheets that are drawn at once, in their order. */
export class Sheets {
  readonly mesh: InstancedMesh<PlaneGeometry, ShaderMaterial>;
  readonly #skin: InstancedBufferAttribute;
  readonly #light: InstancedBufferAttribute;
  #places: number[] = [];

  constructor(skins: Skins, most: number) {
    const square = new PlaneGeometry(1, 1);
    this.#skin = new InstancedBufferAttribute(new Float32Array(most), 1);
    this.#light = new InstancedBufferAttribute(new Float32Array(most * 4), 4);
    square.setAttribute('skin', this.#skin);
    square.setAttribute('light', this.#light);
    const paint = new ShaderMaterial({
      uniforms: { skins: skins.map },
      vertexShader: `
        attribute float skin;
        attribute vec4 light;
        varying vec3 vSkin;
        varying vec4 vLight;
        void main() {
          vSkin = vec3(uv.x, 1.0 - uv.y, skin);
          vLight = light;
          gl_Position = projectionMatrix * modelViewMatrix * instanceMatrix * vec4(position, 1.0);
        }`,
      fragmentShader: `
        uniform mediump sampler2DArray skins;
        varying vec3 vSkin;
        varying vec4 vLight;
        void main() {
          gl_FragColor = texture(skins, vSkin) * vec4(vLight.rgb * vLight.a, vLight.a);
        }`,
      transparent: true,
      premultipliedAlpha: true,
      depthWrite: false,
      side: DoubleSide,
      forceSinglePass: true,
    });
    this.mesh = new InstancedMesh(square, paint, most);
    this.mesh.frustumCulled = false;
  }

  /** Lay these in place of those before. */
  lay(sheets: readonly Sheet[]): void {
    this.#places = sheets.map(({ place }) => place);
    sheets.forEach(({ at, skin, light, opacity }, number) => {
      this.mesh.setMatrixAt(number, at);
      this.#skin.setX(number, skin);
      this.#light.setXYZW(number, ...light, opacity);
    });
    this.mesh.count = sheets.length;
    this.mesh.boundingSphere = null;
    for (const changed of [this.mesh.instanceMatrix, this.#skin, this.#light] as BufferAttribute[]) changed.needsUpdate = true;
  }

  /** Let another light fall on all of them, by the place they show. */
  shine(light: (place: number) => Light): void {
    this.#places.forEach((place, number) => this.#light.setXYZ(number, ...light(place)));
    this.#light.needsUpdate = true;
  }

  /** The place that a sheet shows. */
  placeOf(number: number): number {
    return this.#places[number] ?? -1;
  }

  dispose(): void {
    this.mesh.geometry.dispose();
    this.mesh.material.dispose();
    this.mesh.dispose();
  }
}

/** A skin's points, each colour multiplied by how much of it is seen, so that edges do not darken when blended. */
function painted(key: string): Uint8ClampedArray {
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = PIXELS;
  const pen = canvas.getContext('2d', { willReadFrequently: true });
  if (!pen) return new Uint8ClampedArray(BYTES);
  draw(pen, key);
  const { data } = pen.getImageData(0, 0, PIXELS, PIXELS);
  for (let at = 0; at < BYTES; at += 4) {
    const seen = (data[at + 3] ?? 0) / 255;
    for (let colour = at; colour < at + 3; colour++) data[colour] = (data[colour] ?? 0) * seen;
  }
  return data;
}

function draw(pen: CanvasRenderingContext2D, key: string): void {
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
