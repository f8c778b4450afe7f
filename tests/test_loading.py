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


def test_functions_have_their_documentation_again_when_loading_has_ended():
    begin_loading()
    assert inspect.getdoc(inspect.getdoc) is None
    end_loading()
    assert inspect.getdoc(inspect.getdoc)
