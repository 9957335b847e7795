import type { PortInfo } from "../../app/contract.ts";
import { otherBoardWords, profileWords } from "../text/profile-words.ts";
import { SelectField } from "./field.tsx";
import { Icon } from "./icon.tsx";
import type { Loaded } from "./use-request.ts";

const NONE = "";

export type LoadedPorts = Loaded<{ readonly ports: readonly PortInfo[]; readonly note: string | null }>;

/** One of the ports of this computer. */
export function PortField({
	ports,
	portId,
	onChoose,
	onRefresh,
}: {
	readonly ports: LoadedPorts;
	readonly portId: string | null;
	readonly onChoose: (portId: string | null) => void;
	readonly onRefresh: () => void;
}) {
	const found = ports.state === "ready" ? ports.value.ports : [];
	const isThere = found.some((port) => port.portId === portId);
	return (
		<div class="port-field">
			<SelectField
				label={profileWords.port}
				value={isThere && portId !== null ? portId : NONE}
				options={[
					{ value: NONE, text: profileWords.noPort },
					...found.map((port) => ({
						value: port.portId,
						text: port.description === "" ? port.path : `${port.path} (${port.description})`,
					})),
				]}
				hint={ports.state === "ready" && found.length === 0 ? otherBoardWords.noPorts : undefined}
				error={ports.state === "failed" ? profileWords.portsFailed : null}
				onChoose={(value) => onChoose(value === NONE ? null : value)}
			/>
			<button
				type="button"
				class="button button-icon"
				aria-label={profileWords.refresh}
				title={profileWords.refresh}
				onClick={onRefresh}
			>
				<Icon name="refresh" />
			</button>
		</div>
	);
}
