using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>What to do next, the most urgent first. Empty when there is nothing to do.</summary>
/// <param name="AsOf">The moment.</param>
/// <param name="Items">The advice, ranked, at most <see cref="MaxItems"/>.</param>
/// <param name="LeftOut">How many less urgent ones are not listed.</param>
public sealed record AdviceList(Instant AsOf, ValueList<Advice> Items, int LeftOut)
{
    /// <summary>The most that a tired person reads in the evening.</summary>
    public const int MaxItems = 9;
}
