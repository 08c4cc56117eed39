// What the tool is not, and what to mind beside a basin. At the foot of every view.

export function Cautions({ version }: { version: string | undefined }) {
  return (
    <footer class="foot">
      <h2>Before you reach into the basin</h2>
      <ul>
        <li>
          <b>Mains power beside water kills.</b> Stay out of water that may touch an outlet, a cord or the panel. Switch
          off at the breaker before you touch the pump, if you can get there dry.
        </li>
        <li>
          <b>A basin is a confined space.</b> Gas can gather in it. Do not climb in, and do not lean in alone.
        </li>
        <li>
          <b>Wiring, plumbing and where the water may go</b> are matters of local codes and of licensed people.
        </li>
        <li>
          <b>This is no safety device.</b> It watches and advises. It never switches the pump, and it can fail without a
          sound: keep an alarm that works without it.
        </li>
      </ul>
      <p class="foot-line">Undercroft {version}</p>
    </footer>
  );
}
