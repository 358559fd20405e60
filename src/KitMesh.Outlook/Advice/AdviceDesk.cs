using KitMesh.Domain;
using KitMesh.Domain.Results;

namespace KitMesh.Outlook.Advice;

/// <summary>
/// Merges what energy, charging, footage and alerts ask for into one short ranked list. Quiet when there is nothing to do.
/// </summary>
/// <remarks>
/// Safety goes first whatever its weight. Then weight, raised as a deadline comes near. Two advices about one thing and
/// of one kind are one: the more urgent stands, since nobody acts twice on one card.
/// </remarks>
public static class AdviceDesk
{
    /// <summary>The list.</summary>
    /// <param name="question">The answers to draw from.</param>
    public static AdviceList Advise(AdviceQuestion question)
    {
        List<Domain.Results.Advice> ranked = [.. AlertAdvice.From(question)
            .Concat(FootageAdvice.From(question))
            .Concat(EnergyAdvice.From(question))
            .OrderBy(advice => advice.Item.Category == AdviceCategory.Safety ? 0 : 1)
            .ThenByDescending(advice => advice.Urgency(question.Now))
            .ThenBy(advice => advice.Item.Deadline ?? NodaTime.Instant.MaxValue)
            .ThenBy(advice => advice.Item.Key, StringComparer.Ordinal)
            .Select(advice => advice.Item)
            .DistinctBy(advice => (advice.Category, advice.Subject?.Value ?? advice.Key))];
        return new AdviceList(
            question.Now,
            ranked.Take(AdviceList.MaxItems).ToValueList(),
            Math.Max(0, ranked.Count - AdviceList.MaxItems));
    }
}
