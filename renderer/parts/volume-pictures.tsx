/** The volume and its cross-section at a chosen height, with lines below. */
import type { ComponentChildren } from "preact";
import { useEffect, useMemo, useState } from "preact/hooks";
import type { PageModel } from "../page-model.ts";
import { ModelContext, useAppState, useModel, useSubscription } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { SectionPanel } from "./section-panel.tsx";
import { VolumePanel } from "./volume-panel.tsx";
import { firstVolumeSettings, type VolumeSettings } from "./volume-settings.ts";

/** While the screen is shown, the app sends volume pictures in the place of sections. */
export function useVolumePictures({ volume, feed }: PageModel): void {
	useEffect(() => {
		const end = volume.open();
		return () => {
			end();
			// What the sections' lines have missed meanwhile.
			feed.refill();
		};
	}, [volume, feed]);
}

export function VolumePictures({
	isSimulated,
	isReplay = false,
	children,
}: {
	readonly isSimulated: boolean;
	readonly isReplay?: boolean;
	/** Lines, in the place of whose section's feed stands the volume's. */
	readonly children: ComponentChildren;
}) {
	const model = useModel();
	useSubscription(model.volume.onChange);
	const { volume } = useAppState();
	const [settings, setSettings] = useState<VolumeSettings>(firstVolumeSettings);
	const noise = volume.state === "ready" ? volume.regionNoise : null;
	useEffect(() => {
		if (noise !== null) model.volume.setNoise(noise);
	}, [model, noise]);
	// Lines and figures are drawn by the same parts as those of sections.
	const ofVolume = useMemo<PageModel>(
		() => Object.create(model, { feed: { value: model.volume.section, enumerable: true } }),
		[model],
	);
	const change = (part: Partial<VolumeSettings>): void => setSettings({ ...settings, ...part });
	if (model.volume.fault !== null) return <FaultNote fault={model.volume.fault} />;
	return (
		<ModelContext.Provider value={ofVolume}>
			<div class={isReplay ? "volume replay" : "volume"}>
				<VolumePanel isSimulated={isSimulated} settings={settings} onChange={change} />
				<div class="live-side">
					<SectionPanel settings={settings} onChange={change} />
					{children}
				</div>
			</div>
		</ModelContext.Provider>
	);
}
