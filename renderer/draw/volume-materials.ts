/** How the parts of the volume view are coloured. Colours are written as they are on the screen (sRGB). */
import {
	Color,
	DataTexture,
	DoubleSide,
	LinearFilter,
	type Material,
	RGBAFormat,
	ShaderMaterial,
	UnsignedByteType,
} from "three";
import { createColourRamp, RAMP_LENGTH } from "./colour-ramp.ts";

export interface VolumeMaterials {
	/** Attribute `value`: colour of the scale. */
	readonly values: Material;
	/** Attribute `normal`, uniform `sign`: the scale's colour at ± the surface's level, lit from the viewer. */
	readonly more: Material;
	readonly less: Material;
	/** The skin: glass that shows its edges. */
	readonly shell: Material;
	readonly strap: Material;
	readonly electrode: Material;
	readonly firstElectrode: Material;
	readonly line: Material;
	readonly chosen: Material;
	/** Ends of the scale, and the surface's level as a share of it. */
	setRange(range: number, surfaceShare: number): void;
	setColours(colours: { readonly ink: string; readonly accent: string; readonly isDark: boolean }): void;
	dispose(): void;
}

export function createVolumeMaterials(): VolumeMaterials {
	const ramp = new DataTexture(
		new Uint8Array(createColourRamp("change").colours.buffer.slice(0)),
		RAMP_LENGTH,
		1,
		RGBAFormat,
		UnsignedByteType,
	);
	ramp.minFilter = LinearFilter;
	ramp.magFilter = LinearFilter;
	ramp.needsUpdate = true;

	const range = { value: 1 };
	const share = { value: 0.5 };
	const ink = { value: new Color() };
	const accent = { value: new Color() };
	/** On the scale's colours, whose middle is light in both themes. */
	const line = { value: new Color().setStyle("rgb(40, 50, 58)", "") };
	const lightness = { value: 0 };

	const values = new ShaderMaterial({
		side: DoubleSide,
		uniforms: { ramp: { value: ramp }, range },
		vertexShader: `
			attribute float value;
			varying float shown;
			void main() {
				shown = value;
				gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
			}`,
		fragmentShader: `
			uniform sampler2D ramp;
			uniform float range;
			varying float shown;
			void main() {
				gl_FragColor = vec4(texture2D(ramp, vec2(0.5 + 0.5 * clamp(shown / range, -1.0, 1.0), 0.5)).rgb, 1.0);
			}`,
	});
	const surface = (sign: number): ShaderMaterial =>
		new ShaderMaterial({
			side: DoubleSide,
			uniforms: { ramp: { value: ramp }, share, sign: { value: sign } },
			vertexShader: `
				varying vec3 facing;
				void main() {
					facing = normalMatrix * normal;
					gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
				}`,
			fragmentShader: `
				uniform sampler2D ramp;
				uniform float share;
				uniform float sign;
				varying vec3 facing;
				void main() {
					vec3 colour = texture2D(ramp, vec2(0.5 + 0.5 * sign * share, 0.5)).rgb;
					float light = 0.62 + 0.38 * abs(normalize(facing).z);
					gl_FragColor = vec4(colour * light, 1.0);
				}`,
		});
	const plain = (colour: { value: Color }, opacity: number): ShaderMaterial =>
		new ShaderMaterial({
			side: DoubleSide,
			transparent: opacity < 1,
			depthWrite: opacity === 1,
			uniforms: { colour, opacity: { value: opacity } },
			vertexShader: `
				void main() { gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }`,
			fragmentShader: `
				uniform vec3 colour;
				uniform float opacity;
				void main() { gl_FragColor = vec4(colour, opacity); }`,
		});
	const shell = new ShaderMaterial({
		side: DoubleSide,
		transparent: true,
		depthWrite: false,
		uniforms: { colour: ink, lightness },
		vertexShader: `
			varying vec3 facing;
			varying vec3 towards;
			void main() {
				vec4 seen = modelViewMatrix * vec4(position, 1.0);
				towards = -seen.xyz;
				facing = normalMatrix * normal;
				gl_Position = projectionMatrix * seen;
			}`,
		fragmentShader: `
			uniform vec3 colour;
			uniform float lightness;
			varying vec3 facing;
			varying vec3 towards;
			void main() {
				float grazing = 1.0 - abs(dot(normalize(facing), normalize(towards)));
				gl_FragColor = vec4(colour, mix(0.045, 0.4, pow(grazing, 2.5)) * (1.0 - 0.35 * lightness));
			}`,
	});

	const made = {
		values,
		more: surface(1),
		less: surface(-1),
		shell,
		strap: plain(ink, 0.07),
		electrode: plain(ink, 0.55),
		firstElectrode: plain(accent, 0.75),
		line: plain(line, 0.6),
		chosen: plain(accent, 1),
	};
	return {
		...made,
		setRange(nextRange, surfaceShare) {
			range.value = nextRange;
			share.value = surfaceShare;
		},
		setColours(colours) {
			// As written: this program mixes no light, so nothing is converted.
			ink.value.setStyle(colours.ink, "");
			accent.value.setStyle(colours.accent, "");
			lightness.value = colours.isDark ? 1 : 0;
		},
		dispose() {
			for (const material of Object.values(made)) material.dispose();
			ramp.dispose();
		},
	};
}
