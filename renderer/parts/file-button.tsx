import { useRef } from "preact/hooks";
import { Icon } from "./icon.tsx";

/** A button that asks for one file: JSON unless it says otherwise. */
export function FileButton({
	text,
	isBusy,
	accept = ".json,application/json",
	onFile,
}: {
	readonly text: string;
	readonly isBusy: boolean;
	readonly accept?: string;
	readonly onFile: (file: File) => void;
}) {
	const input = useRef<HTMLInputElement>(null);
	return (
		<div class="open-file">
			<input
				ref={input}
				class="visually-hidden"
				type="file"
				accept={accept}
				aria-label={text}
				tabIndex={-1}
				onChange={(event) => {
					const file = event.currentTarget.files?.[0];
					event.currentTarget.value = "";
					if (file !== undefined) onFile(file);
				}}
			/>
			<button type="button" class="button" disabled={isBusy} onClick={() => input.current?.click()}>
				<Icon name="file" />
				{text}
			</button>
		</div>
	);
}
