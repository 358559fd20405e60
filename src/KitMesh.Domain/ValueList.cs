using System.Collections;
using System.Diagnostics.CodeAnalysis;
using System.Runtime.CompilerServices;

namespace KitMesh.Domain;

/// <summary>An immutable list that is equal to another when its items are: what a record's list property needs.</summary>
/// <typeparam name="T">The items.</typeparam>
[CollectionBuilder(typeof(ValueList), nameof(ValueList.Create))]
[SuppressMessage("Naming", "CA1710:Identifiers should have correct suffix", Justification = "It is a list.")]
public sealed class ValueList<T> : IReadOnlyList<T>, IEquatable<ValueList<T>>
{
    /// <summary>The list without items.</summary>
    public static readonly ValueList<T> Empty = new([]);

    private readonly T[] _items;

    internal ValueList(T[] items) => _items = items;

    /// <inheritdoc/>
    public int Count => _items.Length;

    /// <inheritdoc/>
    public T this[int index] => _items[index];

    /// <summary>The items, to read without copying.</summary>
    public ReadOnlySpan<T> AsSpan() => _items;

    /// <inheritdoc/>
    public bool Equals(ValueList<T>? other) =>
        other is not null && _items.AsSpan().SequenceEqual(other._items, EqualityComparer<T>.Default);

    /// <inheritdoc/>
    public override bool Equals(object? obj) => Equals(obj as ValueList<T>);

    /// <inheritdoc/>
    public override int GetHashCode()
    {
        var hash = default(HashCode);
        foreach (T item in _items)
        {
            hash.Add(item);
        }

        return hash.ToHashCode();
    }

    /// <inheritdoc/>
    public IEnumerator<T> GetEnumerator() => ((IEnumerable<T>)_items).GetEnumerator();

    IEnumerator IEnumerable.GetEnumerator() => _items.GetEnumerator();

    /// <summary>The items in brackets.</summary>
    public override string ToString() => $"[{string.Join(", ", _items)}]";
}

/// <summary>Makes <see cref="ValueList{T}"/>; collection expressions call it.</summary>
public static class ValueList
{
    /// <summary>A list that holds a copy of the items.</summary>
    /// <param name="items">The items, in order.</param>
    public static ValueList<T> Create<T>(ReadOnlySpan<T> items) => items.IsEmpty ? ValueList<T>.Empty : new(items.ToArray());

    /// <summary>A list that holds a copy of the items.</summary>
    /// <param name="items">The items, in order.</param>
    public static ValueList<T> ToValueList<T>(this IEnumerable<T> items) => new([.. items]);
}
