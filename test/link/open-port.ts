/** Tries to open the port named on the command line and prints how it went; run as another user by a test. */
import { createSerialTransport } from "../../app/link/serial-transport.ts";

const opened = await createSerialTransport(process.argv[2]!, 115_200).open();
process.stdout.write(JSON.stringify(opened.ok ? { ok: true } : opened));
if (opened.ok) await opened.value.close();
