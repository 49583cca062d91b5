"""What the browser is told for people who work by keyboard or with a screen reader.

In: nothing. Out: a small script beside the controls. It names the handles of sliders after
their labels: without it, a screen reader says "slider, 5" and no more. And it keeps the
arrows and letters pressed on an option, a list or a button from JupyterLab, which would take
them for its own commands: an arrow leaves the cell, d twice deletes it.
"""

from __future__ import annotations

# The handles come a moment after the panel, hence the observer. The keys are caught on their way
# down, before JupyterLab sees them; what the browser itself does with them is not changed.
_SCRIPT = """{
const place = element.closest('.jp-OutputArea') ?? document.body;
const name = () => place.querySelectorAll('.widget-slider').forEach(slider =>
  slider.querySelectorAll('.noUi-handle:not([aria-label])').forEach(handle =>
    handle.setAttribute('aria-label', slider.querySelector('label')?.textContent || 'slider')));
new MutationObserver(name).observe(place, {childList: true, subtree: true});
name();
if (!window.keysOfTheCourse) {
  const listed = '.jp-OutputArea input[type=radio], .jp-OutputArea select';
  const pressed = '.jp-OutputArea input[type=checkbox], .jp-OutputArea button';
  window.keysOfTheCourse = event => {
    const own = event.key.length === 1 || event.key.startsWith('Arrow');
    const plain = !(event.ctrlKey || event.metaKey || event.altKey || event.shiftKey);
    const here = event.target.matches?.(`${listed}, ${pressed}`);
    if (own && plain && here) event.stopPropagation();
  };
  window.addEventListener('keydown', window.keysOfTheCourse, true);
}
}"""


def help_keys_and_names() -> None:
    """Show the script beside controls that have just been displayed."""
    from IPython.display import display

    display({"application/javascript": _SCRIPT, "text/plain": ""}, raw=True)
