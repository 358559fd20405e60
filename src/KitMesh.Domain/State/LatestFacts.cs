using System.Collections.Immutable;
using NodaTime;

namespace KitMesh.Domain.State;

/// <summary>The latest fact about each of many things.</summary>
/// <typeparam name="TKey">Names the thing; sorts ordinally.</typeparam>
/// <typeparam name="TFact">The fact.</typeparam>
internal sealed class LatestFacts<TKey, TFact>
    where TKey : notnull, IComparable<TKey>
{
    private readonly Dictionary<TKey, LatestFact<TFact>> _facts = [];

    /// <summary>Takes a fact in.</summary>
    public void Offer(TKey key, TFact body, FactStamp stamp)
    {
        if (!_facts.TryGetValue(key, out LatestFact<TFact>? latest))
        {
            _facts.Add(key, latest = new LatestFact<TFact>());
        }

        latest.Offer(body, stamp);
    }

    /// <summary>The latest fact about each thing.</summary>
    public ImmutableSortedDictionary<TKey, Stamped<TFact>> Resolve(Instant? newestBelieved) =>
        _facts.ToImmutableSortedDictionary(entry => entry.Key, entry => entry.Value.Resolve(newestBelieved));
}
