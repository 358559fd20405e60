using System.Net;
using System.Net.NetworkInformation;
using System.Net.Sockets;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Hub.Enrolment;

/// <summary>The private addresses of this machine, for the hub's certificate and for the pictures that invite.</summary>
internal static class HubAddresses
{
    /// <summary>Addresses at which a hub that listens there can be reached; IPv4 first.</summary>
    public static IReadOnlyList<IPAddress> Of(Uri listen)
    {
        IPAddress given = IPAddress.Parse(listen.Host.Trim('[', ']').Replace("localhost", "127.0.0.1", StringComparison.Ordinal));
        bool isAny = given.Equals(IPAddress.Any) || given.Equals(IPAddress.IPv6Any);
        return isAny ? [.. Interfaces().Where(CertificateProfile.MayName)] : [given];
    }

    private static IEnumerable<IPAddress> Interfaces() => NetworkInterface
        .GetAllNetworkInterfaces()
        .Where(net => net.OperationalStatus == OperationalStatus.Up)
        .SelectMany(net => net.GetIPProperties().UnicastAddresses)
        .Select(unicast => unicast.Address.AddressFamily == AddressFamily.InterNetworkV6 ? new IPAddress(unicast.Address.GetAddressBytes()) : unicast.Address)
        .OrderBy(address => address.AddressFamily == AddressFamily.InterNetwork ? 0 : 1)
        .ThenBy(address => IPAddress.IsLoopback(address) ? 1 : 0);
}
