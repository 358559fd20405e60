namespace KitMesh.Footage.Ledger;

/// <summary>Gives each different name a small number, so that a row needs four bytes for it.</summary>
/// <typeparam name="T">The name.</typeparam>
/// <remarks>The numbers follow arrival; nothing that leaves the ledger may be ordered by them.</remarks>
internal sealed class NameTable<T>
    where T : notnull
{
    /// <summary>The number that stands for no name.</summary>
    public const int None = -1;

    private readonly Dictionary<T, int> _numbers = [];
    private readonly List<T> _names = [];
    private T? _lastName;
    private int _lastNumber = None;

    public int Count => _names.Count;

    public T this[int number] => _names[number];

    /// <summary>The name's number, new if the name is.</summary>
    public int Number(T name)
    {
        // Reports come in runs about the same clip and path; asking the dictionary once a run halves the rebuild.
        if (_lastNumber != None && EqualityComparer<T>.Default.Equals(name, _lastName!))
        {
            return _lastNumber;
        }

        ref int slot = ref System.Runtime.InteropServices.CollectionsMarshal.GetValueRefOrAddDefault(_numbers, name, out bool known);
        if (!known)
        {
            slot = _names.Count;
            _names.Add(name);
        }

        _lastName = name;
        _lastNumber = slot;
        return slot;
    }

    /// <summary>The name's number, or <see cref="None"/>.</summary>
    public int Find(T name) => _numbers.GetValueOrDefault(name, None);
}
