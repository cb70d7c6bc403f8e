"""The network: nothing twice, constants folded, members before their gate."""

from __future__ import annotations

from cds.rulebook.compile_network import Network
from cds.vocabulary.values import Op


def test_the_same_test_and_gate_are_the_same_node() -> None:
    net = Network()
    a, b = net.leaf("a", Op.IS, ("yes",)), net.leaf("b", Op.IS, ("yes",))
    assert net.leaf("a", Op.IS, ("yes",)) == a
    assert net.leaf("a", Op.IS_NOT, ("yes",)) != a
    assert net.all_of([a, b]) == net.all_of([b, a])
    assert net.any_of([a, b]) != net.all_of([a, b])
    assert len(net.gates) == 2


def test_one_member_is_itself() -> None:
    net = Network()
    a = net.leaf("a", Op.IS, ("yes",))
    assert net.all_of([a]) == net.any_of([a]) == net.any_of([a, a]) == net.all_of([a, a]) == a
    assert net.gates == []


def test_constants_fold() -> None:
    net = Network()
    a = net.leaf("a", Op.IS, ("yes",))
    true, false = net.constant(True), net.constant(False)
    assert true == ~false
    assert net.all_of([]) == true
    assert net.any_of([]) == false
    assert net.any_of([a, true]) == true
    assert net.all_of([a, true]) == a
    assert net.all_of([a, false]) == false
    assert net.any_of([a, false]) == a
    assert net.at_least(2, [a, true, false]) == a


def test_repeated_members_of_a_threshold_count_each_time() -> None:
    net = Network()
    a, b = net.leaf("a", Op.IS, ("yes",)), net.leaf("b", Op.IS, ("yes",))
    net.at_least(2, [a, a, b])
    assert net.gates[-1].members == (a, a, b)
    assert net.gates[-1].need == 2


def test_members_stand_before_their_gate() -> None:
    net = Network()
    a, b = net.leaf("a", Op.IS, ("yes",)), net.leaf("b", Op.IS, ("yes",))
    net.all_of([net.any_of([a, ~b]), b])
    for gate in net.gates:
        assert all((m if m >= 0 else ~m) < gate.node for m in gate.members)
    assert net.nodes == len(net.leaves) + len(net.gates)
