"""What a person does on the page to begin a project: a scan dropped on it, tape distances."""

import base64
import re

import numpy as np


def stl_of(triangles):
    rows = np.zeros(len(triangles), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    rows["corners"] = triangles
    return b"shell".ljust(80) + np.uint32(len(rows)).tobytes() + rows.tobytes()


def tilted_inches(triangles):
    """As a scanner would write it: rolled 2 degrees, yawed 1.2, shifted, in inches."""
    roll, yaw = np.deg2rad([2.0, 1.2])
    about_x = np.array([[1, 0, 0], [0, np.cos(roll), -np.sin(roll)], [0, np.sin(roll), np.cos(roll)]])
    about_z = np.array([[np.cos(yaw), -np.sin(yaw), 0], [np.sin(yaw), np.cos(yaw), 0], [0, 0, 1]])
    return (triangles @ (about_z @ about_x).T + [850.0, -230.0, 410.0]) / 25.4


def patient(page):
    """Finding axes is seconds of work, more on a machine that others work on too."""
    page.set_default_timeout(90_000)
    return page


def drop(page, name, content):
    """Drop a file on the picture, as from a file manager."""
    page.get_by_label("Choose a scan file").wait_for(state="attached")
    page.evaluate(
        """([name, content]) => {
          const bytes = Uint8Array.from(atob(content), (sign) => sign.charCodeAt(0));
          const files = new DataTransfer();
          files.items.add(new File([bytes], name));
          document.querySelector('.hw-viewport').dispatchEvent(
            new DragEvent('drop', { dataTransfer: files, bubbles: true, cancelable: true }));
        }""",
        [name, base64.b64encode(content).decode()],
    )


def take_in(page, content, *, unit, nose="+x"):
    drop(page, "shell.stl", content)
    page.get_by_text("Which unit is the scan in?").wait_for()
    words = page.locator(".hw-ask").inner_text()
    page.get_by_role("button", name=re.compile(f"^{unit}: ")).click()
    page.get_by_text("Which way is forward?").wait_for()
    page.get_by_role("button", name=re.compile(rf"^\{nose}")).click()
    page.get_by_text(f"read as {unit}").wait_for()
    return words


def hold_tape(page, name, reads, one, other):
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("The tape reads").fill(reads)
    page.get_by_label("One end", exact=True).fill(one)
    page.get_by_label("Other end", exact=True).fill(other)
    page.get_by_role("button", name="Hold it against the scan").click()
    page.get_by_role("button", name=f"Change tape distance {name}").wait_for()
