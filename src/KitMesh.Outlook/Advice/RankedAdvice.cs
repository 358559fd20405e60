using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Advice;

/// <summary>An advice with how urgent it is.</summary>
/// <param name="Item">The advice.</param>
internal sealed record RankedAdvice(Domain.Results.Advice Item)
{
    /// <summary>Weight, raised as the deadline comes near: by half at a day, doubled when it is there.</summary>
    /// <param name="now">World time.</param>
    public double Urgency(Instant now)
    {
        if (Item.Deadline is not { } deadline)
        {
            return Item.Weight;
        }

        double hours = Math.Max(0, (deadline - now).TotalHours);
        return Item.Weight * (1 + (1 / (1 + (hours / 24))));
    }
}
