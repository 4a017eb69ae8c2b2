// Sets light or dark before the page is painted. "auto" follows the device.
{
  const root = document.documentElement;
  let chosen = "auto";
  try { chosen = localStorage.getItem("evenlock.light") ?? "auto"; } catch { /* storage forbidden: auto */ }
  if (chosen !== "auto") root.dataset.light = chosen;
}
