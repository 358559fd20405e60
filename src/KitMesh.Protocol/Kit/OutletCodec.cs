using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 11 to and from the wire.</summary>
internal static class OutletCodec
{
    public static V1.Outlet Write(Outlet outlet)
    {
        return new V1.Outlet
        {
            Id = outlet.Id.Value,
            Bank = outlet.Bank.Value,
            LimitWatts = outlet.Limit.Value,
            Efficiency = outlet.Efficiency,
        };
    }

    public static Outlet Read(V1.Outlet message, FieldReader fields)
    {
        return new Outlet(
            fields.Id(message.Id, "name"),
            fields.Id(message.Bank, "bank"),
            new Watts(message.LimitWatts),
            message.Efficiency);
    }
}
