import numpy as np

from holdwright.geometry.measure.deviation import apart
from holdwright.geometry.mesh.mesh import Mesh
from shapes import sphere


def test_only_triangles_that_the_other_surface_does_not_have_are_apart():
    ball = sphere(10.0, 16).mesh
    order = np.random.default_rng(1).permutation(len(ball.vertices))
    shuffled = Mesh(ball.vertices[order], np.roll(np.argsort(order)[ball.triangles[5:]], 1, axis=1))
    assert len(apart(shuffled, ball).triangles) == 0
    gone = apart(ball, shuffled)
    assert np.isclose(gone.area, ball.submesh(np.arange(5)).area)
    assert len(apart(ball, ball.moved(np.diag([1.0, 1.0, 1.001, 1.0]))).triangles) > 0.9 * len(ball.triangles)
