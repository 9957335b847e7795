import { render } from "preact";

render(<p>Tautline</p>, document.querySelector("#app")!);
