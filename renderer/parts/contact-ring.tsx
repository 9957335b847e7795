import type { AppState } from "../../app/contract.ts";
import { angleFromFront } from "../../core/band/measured-band.ts";
import { checkWords, ohmText } from "../text/check-words.ts";

type Contact = AppState["contacts"][number];

/** The band as a ring with every electrode where it sits, its number inside and its contact impedance outside. Contact is
 *  told by words, figures and shape; colour only goes along. */
export function ContactRing({
	contacts,
	band,
	side,
}: {
	readonly contacts: readonly Contact[];
	readonly band: AppState["setup"]["band"];
	readonly side: "left" | "right";
}) {
	const count = contacts.length;
	const turn = band.direction === "anticlockwise" ? 1 : -1;
	const first = angleFromFront(band.firstElectrodeDegrees);
	const share = (e: number): number => (band.positions?.length === count ? band.positions[e]! : e / count);
	// Crowded rings name only what needs a hand.
	const isCrowded = count > 24;
	const radius = isCrowded ? 6.5 : 10;
	const bad = contacts.flatMap((contact, e) =>
		["off", "poor"].includes(contact.verdict) ? [`${e + 1} ${checkWords.contacts[contact.verdict]}`] : [],
	);
	const label = `${checkWords.ring}. ${bad.length === 0 ? `${count}: ${checkWords.contacts.good}` : bad.join(", ")}`;
	return (
		<svg class="contact-ring" viewBox="-155 -132 310 264" role="img" aria-label={label}>
			<circle class="contact-ring-skin" r="96" />
			{contacts.map((contact, e) => {
				const angle = first + turn * 2 * Math.PI * share(e);
				const [x, y] = [Math.cos(angle), -Math.sin(angle)];
				const text = contact.ohm === null ? checkWords.contacts[contact.verdict] : ohmText(contact.ohm);
				const isNamed = contact.verdict !== "unknown" && (!isCrowded || contact.verdict !== "good");
				return (
					<g key={e} class={`contact-${contact.verdict}`}>
						<title>{`${e + 1}: ${text}`}</title>
						<circle class="contact-dot" cx={96 * x} cy={96 * y} r={radius} />
						{contact.verdict === "off" && (
							<path
								class="contact-cross"
								d={`M${96 * x - radius} ${96 * y + radius}L${96 * x + radius} ${96 * y - radius}`}
							/>
						)}
						<text class="contact-number" x={96 * x} y={96 * y} style={`font-size: ${isCrowded ? 7 : 10}px`}>
							{e + 1}
						</text>
						{isNamed && (
							<text
								class="contact-ohm"
								x={114 * x}
								y={118 * y}
								text-anchor={Math.abs(x) < 0.3 ? "middle" : x > 0 ? "start" : "end"}
							>
								{text}
							</text>
						)}
					</g>
				);
			})}
			<text class="contact-place" y="-70">
				front
			</text>
			<text class="contact-place" y="76">
				back
			</text>
			<text class="contact-place" x="-58" y="4">
				{side === "left" ? "inner" : "outer"}
			</text>
			<text class="contact-place" x="58" y="4">
				{side === "left" ? "outer" : "inner"}
			</text>
		</svg>
	);
}
