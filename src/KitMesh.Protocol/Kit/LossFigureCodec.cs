using KitMesh.Domain.Kit;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 18 to and from the wire.</summary>
internal static class LossFigureCodec
{
    public static V1.LossFigure Write(LossFigure figure) => new()
    {
        Id = figure.Id.Value,
        Low = figure.Low,
        Best = figure.Best,
        High = figure.High,
        Source = figure.Source,
    };

    public static LossFigure Read(V1.LossFigure message, FieldReader fields) =>
        new(fields.Id(message.Id, "name"), message.Low, message.Best, message.High, message.Source);
}
