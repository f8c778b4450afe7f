import inspect
import subprocess
import sys

from holdwright.loading import begin_loading, end_loading


def test_what_is_unused_is_loaded_when_it_is_first_used():
    program = (
        "import sys; from holdwright.loading import UNUSED, load_lazily;"
        "load_lazily(*UNUSED, 'absent.module');"
        "import numpy, scipy.ndimage; print('numpy.f2py.f2py2e' in sys.modules);"
        "print(numpy.f2py.get_include()[-3:], 'numpy.f2py.f2py2e' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "src", "True"]


def test_a_modules_own_import_is_not_all_of_its_package():
    program = (
        "import sys; from holdwright.loading import load_lazily; load_lazily('numpy.polynomial', 'xml');"
        "from xml import dom; import xml.sax.handler; print('__getattr__' in vars(sys.modules['xml']));"
        "from numpy.polynomial import Polynomial; print(Polynomial([1, 2])(3))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["True", "7.0"]


def test_functions_have_their_documentation_again_when_loading_has_ended():
    begin_loading()
    assert inspect.getdoc(inspect.getdoc) is None
    end_loading()
    assert inspect.getdoc(inspect.getdoc)


def test_a_command_starts_without_what_draws_sheets_and_pictures():
    program = (
        "import sys; import holdwright.entry, holdwright.cli.replay_command;"
        "print(*(name for name in sys.modules if name.startswith(('reportlab', 'PIL', 'holdwright.sheet.',"
        " 'holdwright.render.', 'vtkmodules.vtkRendering'))))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    # The words of a choice and the colours of parts are but constants.
    assert set(done.stdout.split()) <= {"holdwright.sheet.choice", "holdwright.render.tones"}


def test_the_window_starts_without_what_draws_sheets_and_charts():
    program = (
        "import sys; import holdwright.gui.application;"
        "unused = 'reportlab', 'pypdfium2', 'holdwright.sheet.', 'matplotlib', 'pyvista.plotting';"
        "print(*(name for name in sys.modules if name.startswith(unused)))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert set(done.stdout.split()) <= {"holdwright.sheet.choice"}


def test_a_command_loads_what_draws_only_where_something_is_drawn():
    program = (
        "import holdwright.cli.replay_command, sys;"
        "print([name for name in ('pyvista', 'vtkmodules', 'reportlab', 'fontTools') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
