/** Pictures of how the band is put on, and whether its pads touch, in plain words. */
import { useEffect } from "preact/hooks";
import { bandGuideNames } from "../draw/band-guide.ts";
import { contactAdvice } from "../text/contact-advice.ts";
import { homeWords } from "../text/home-words.ts";
import { Icon } from "./icon.tsx";
import { MainButton } from "./main-button.tsx";
import { useAppState } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { BandGuidePictogram } from "./pictogram.tsx";
import { useAction } from "./use-request.ts";

const CHECK_EVERY_MILLISECONDS = 5000;

export function BandGuide({
	personId,
	side,
	isMove,
	onReady,
}: {
	readonly personId: number;
	readonly side: "left" | "right";
	/** From the other leg. */
	readonly isMove: boolean;
	readonly onReady: () => void;
}) {
	const wear = useAction("wearBand");
	const words = homeWords.band;
	return (
		<section class="guide">
			<h2 class="guide-title">{isMove ? words.move(side) : words.title(side)}</h2>
			<ol class="guide-steps">
				{bandGuideNames.map((name, i) => (
					<li key={name} class="panel guide-step">
						<span class="plan-item-place figures">{i + 1}</span>
						<BandGuidePictogram step={name} />
						<p>{words.steps[name]}</p>
					</li>
				))}
			</ol>
			<ContactCheck />
			{wear.fault !== null && <FaultNote fault={wear.fault} />}
			<div class="guide-foot">
				<MainButton
					text={wear.isBusy ? words.working : words.ready}
					isDisabled={wear.isBusy}
					onPress={async () => {
						const outcome = await wear.run({ personId, side });
						if (outcome.ok) onReady();
					}}
				/>
				<p class="guide-note">{words.sitStill}</p>
			</div>
		</section>
	);
}

function ContactCheck() {
	const state = useAppState();
	const check = useAction("sendCommand");
	const connect = useAction("connect");
	const isStreaming = state.link.state === "streaming";
	// Asked again while the guide is open, for the band is being put on just now.
	useEffect(() => {
		if (!isStreaming) return;
		const ask = (): void => void check.run({ command: "contact-check" });
		ask();
		const timer = setInterval(ask, CHECK_EVERY_MILLISECONDS);
		return () => clearInterval(timer);
	}, [isStreaming]);
	const { text, isGood } = contactAdvice(state);
	const { link, source } = state;
	// a band that was stopped for its current must not begin again by a press
	const mayLook = link.state === "failed" && source !== null && link.fault.kind !== "over-current-limit";
	return (
		<div class={isGood ? "note note-done guide-contact" : "note guide-contact"}>
			<Icon name={isGood ? "check" : "info"} />
			<p role="status">
				<strong>{homeWords.contact.title}</strong> {text}
			</p>
			{mayLook && (
				<button
					type="button"
					class="button"
					disabled={connect.isBusy}
					onClick={() => void connect.run(source)}
				>
					{homeWords.contact.look}
				</button>
			)}
		</div>
	);
}
