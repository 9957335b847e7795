/** What the volume shows, in a sentence: which region changes most. */

import { changesMost } from "../text/changes-most.ts";
import { formatChange } from "../text/quantity.ts";
import { volumeWords } from "../text/volume-words.ts";
import { Icon } from "./icon.tsx";
import { useAppState, useModel, useSubscription } from "./model-context.ts";
import { useReadouts } from "./readout-panel.tsx";
import { trendRegions } from "./trend-regions.ts";

export function VolumeSummary({ id }: { readonly id: string }) {
	const { volume } = useModel();
	useSubscription(volume.onChange);
	const state = useAppState().volume;
	const means = useReadouts();
	const regions = trendRegions(volume.section.geometry);
	const noise = state.state === "ready" ? state.regionNoise : [];
	const slips = state.state === "ready" ? (state.slips ?? []) : [];
	const without = state.state === "ready" ? withoutText(state.leftOut, state.isTrustworthy) : null;
	return (
		<div id={id} class="volume-summary">
			<p>{summaryText(regions, means, noise)}</p>
			{without !== null && (
				<p class="contact-line contact-trouble" role="status">
					<Icon name="caution" />
					{without}
				</p>
			)}
			{slips.map((slip) => (
				<p class="contact-line contact-trouble" role="status" key={slip.bands.join()}>
					<Icon name="caution" />
					{volumeWords.slipped(slip)}
				</p>
			))}
		</div>
	);
}

function withoutText(leftOut: readonly (readonly number[])[], isTrustworthy: boolean): string | null {
	const without = volumeWords.without(leftOut);
	if (without === null) return null;
	return isTrustworthy ? without : `${without} ${volumeWords.notTrusted}`;
}

function summaryText(
	regions: ReturnType<typeof trendRegions>,
	means: readonly (number | null)[],
	noise: readonly number[],
): string {
	if (means.length === 0) return volumeWords.notYet;
	const [first, second] = changesMost(means, noise);
	if (first === undefined) return volumeWords.still;
	const nameOf = (trend: number): string =>
		regions.find(({ trendIndex }) => trendIndex === trend)?.name ?? "";
	const most = volumeWords.most(nameOf(first.trend), formatChange(first.change, "S/m"));
	if (second === undefined) return most;
	return `${most} ${volumeWords.next(nameOf(second.trend), formatChange(second.change, "S/m"))}`;
}
