namespace KitMesh.Footage.Ledger;

/// <summary>
/// Gives each different set of small numbers a number of its own. A million clips lie on a few dozen different sets of
/// drives; what is asked of each set is then asked a few dozen times.
/// </summary>
internal sealed class IdSets
{
    /// <summary>The empty set.</summary>
    public const int Empty = 0;

    private readonly Dictionary<(int Set, int Added), int> _grown = [];
    private readonly List<int[]> _members = [[]];

    public int Count => _members.Count;

    /// <summary>The members, ascending.</summary>
    public ReadOnlySpan<int> this[int set] => _members[set];

    /// <summary>The set with one more member; the same set when it has it.</summary>
    public int With(int set, int member)
    {
        if (_grown.TryGetValue((set, member), out int known))
        {
            return known;
        }

        int[] members = _members[set];
        int made = Array.BinarySearch(members, member) >= 0 ? set : Canonical(Insert(members, member));
        _grown[(set, member)] = made;
        return made;
    }

    private static int[] Insert(int[] members, int member)
    {
        int[] grown = [.. members, member];
        Array.Sort(grown);
        return grown;
    }

    private int Canonical(int[] members)
    {
        // A set can be reached by many ways; its sorted chain from the empty set is the one that names it.
        int set = Empty;
        for (int i = 0; i < members.Length; i++)
        {
            if (_grown.TryGetValue((set, members[i]), out int known))
            {
                set = known;
                continue;
            }

            if (i < members.Length - 1)
            {
                set = With(set, members[i]);
                continue;
            }

            _members.Add(members);
            _grown[(set, members[i])] = _members.Count - 1;
            return _members.Count - 1;
        }

        return set;
    }
}
